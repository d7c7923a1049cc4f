"""Platform to apex."""

import numpy as np
import pytest

from features.body import find_body
from features.span import length
from tests.features.bodies_on_film import EXACT, MM_PER_PX, mark, threaded
from tests.features.drawn_bodies import MM_PER_PX as DRAWN
from tests.features.drawn_bodies import film, rounded


@pytest.mark.parametrize("tilt_deg", [-8.0, 8.0])
def test_a_tilted_rod_is_not_read_long(tilt_deg):
    pixels, truth = threaded(tilt_deg=tilt_deg)
    body, _ = find_body(pixels.astype(np.float32), mark(truth))
    seen = (body.tip.value - body.edge.value) * MM_PER_PX
    found = length(body)
    assert seen > 10.15  # its ends' ellipses
    assert found.value * MM_PER_PX == pytest.approx(10.0, abs=0.12)
    assert found.interval[0] * MM_PER_PX < 10.0 < found.interval[1] * MM_PER_PX


def test_a_pointed_tip_that_fades_is_drawn_to_its_mark():
    pixels, truth = film(rounded(4.0, 10.0, 3.0, power=1.0))
    lengths = []
    for off in (-5.0, 5.0):
        moves = ((0, 0), (0, 0), (0, off))
        body, _ = find_body(pixels.astype(np.float32), mark(truth, moves))
        lengths.append(length(body))
    pulled = (lengths[1].value - lengths[0].value) / 10.0
    assert 0.1 < pulled < 0.9
    assert all("marks" in dict(one.parts) for one in lengths)
    exact = length(find_body(pixels.astype(np.float32), mark(truth, EXACT))[0])
    assert exact.interval[0] * DRAWN < 10.0 < exact.interval[1] * DRAWN
