"""Cheapest ways against scikit-image's, which may also lead up again."""

import numpy as np
import pytest
from skimage.graph import MCP_Geometric

from features.routes import BARRED, FREE, FREE_ROWS, cheapest_ways, winding_ways

CHANCE = np.random.default_rng(11)


def costs(rows, columns):
    return CHANCE.uniform(1.0, 16.0, (rows, columns))


def theirs(picture):
    """Cheapest column in every row of scikit-image's path."""
    free = np.full((FREE_ROWS, picture.shape[1]), FREE)
    tall = np.vstack([free, picture, free])
    middle, end = tall.shape[1] // 2, len(tall) - 1
    down_and_along = [(1, -1), (1, 0), (1, 1), (0, -1), (0, 1)]
    found = MCP_Geometric(tall, offsets=down_and_along)
    found.find_costs([(0, middle)], [(end, middle)])
    path = np.array(found.traceback((end, middle)))
    rows = [path[path[:, 0] == row, 1] for row in range(FREE_ROWS, end + 1 - FREE_ROWS)]
    return [here[tall[row, here].argmin()] for row, here in enumerate(rows, FREE_ROWS)]


@pytest.mark.parametrize("rows", [40, 41])
@pytest.mark.parametrize("columns", [(9, 9), (30, 23)])
def test_ways_are_scikit_images(rows, columns):
    pictures = [costs(rows, width) for width in columns]
    for picture, way in zip(pictures, cheapest_ways(pictures), strict=True):
        assert way.tolist() == theirs(picture)


def test_a_way_runs_along_a_row_where_a_groove_does():
    picture = np.full((20, 30), 10.0)
    picture[:11, 4] = picture[10, 4:26] = picture[10:, 25] = 1.0
    (way,) = cheapest_ways([picture])
    assert way[:10].tolist() == [4] * 10
    assert way[11:].tolist() == [25] * 9


def test_no_way_takes_a_barred_place():
    picture = costs(50, 20)
    picture[20:30, :15] = BARRED
    picture[35:45, 6:] = BARRED
    (way,) = cheapest_ways([picture])
    assert (picture[np.arange(50), way] < BARRED).all()
    assert way.tolist() == theirs(np.where(picture < BARRED, picture, -1))


def test_pictures_side_by_side_do_not_touch():
    narrow, wide = costs(33, 12), costs(33, 40)
    together = cheapest_ways([narrow, wide])
    apart = [cheapest_ways([picture])[0] for picture in (narrow, wide)]
    assert all(np.array_equal(a, b) for a, b in zip(together, apart, strict=True))


def test_a_winding_way_leads_up_again_where_that_is_cheaper():
    picture = np.full((30, 15), 50.0)
    picture[:21, 3] = picture[20, 3:8] = picture[10:21, 7] = 1.0
    picture[10, 7:12] = picture[10:, 11] = 1.0
    picture[15, 7] = 0.5  # on the way up
    (winding,), (downward,) = winding_ways([picture]), cheapest_ways([picture])
    assert (winding[15], winding[25]) == (7, 11)
    assert downward[15] in (3, 11)
