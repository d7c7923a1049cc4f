import math

import numpy as np
import pytest

from features.axis_search import find_bands, reduced
from features.quantity import NotMeasured
from features.run_search import find_run, settle
from tests.features.drawn_films import CENTRE, CREST, bar, bone_film, drawn_body, finished

TOP, FOOT = CREST + 5, 370  # rows between which `drawn_body` is metal


def run_on(film):
    small = reduced(film)
    return find_run(film, small, settle(film, find_bands(small, CENTRE)[0]))


@pytest.mark.parametrize("upside_down", [False, True])
def test_the_run_goes_from_the_crown_end_to_the_apex(upside_down):
    film = drawn_body(bone_film())
    if upside_down:
        film = np.ascontiguousarray(film[::-1])
    run = run_on(film)
    assert run
    rows = [run.axis.to_film(z, 0)[1] for z in (0, run.axis.length_px)]
    wanted = [TOP, FOOT] if not upside_down else [len(film) - 1 - TOP, len(film) - 1 - FOOT]
    assert rows == pytest.approx(wanted, abs=8)  # within a few of its coarse rows
    assert math.sin(run.axis.angle_rad) * (-1 if upside_down else 1) > math.cos(math.radians(1))


def test_a_vent_does_not_end_the_run():
    vented = bar(drawn_body(bone_film()), 18, 320, 345, 0.45)
    run = run_on(finished(vented))
    assert run
    assert run.axis.to_film(run.axis.length_px, 0)[1] == pytest.approx(FOOT, abs=8)


def test_a_pale_shade_is_no_metal():
    film = finished(bar(np.full((500, 380), 0.4, dtype=np.float32), 26, 150, 350, 0.401))
    small = reduced(film)
    bands = find_bands(small, CENTRE)
    assert all(isinstance(find_run(film, small, settle(film, band)), NotMeasured) for band in bands)
