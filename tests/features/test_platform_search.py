import numpy as np
import pytest

from features.outline import find_walls
from features.platform_search import find_platform
from features.strip import Axis, straighten
from tests.features.drawn_films import CENTRE, CREST, METAL, bar, bone_film, finished

HALF, FOOT = 26, 380


def place_on(film, top):
    """Where the platform is found on a run of metal that begins at row `top`."""
    axis = Axis((CENTRE[0], float(top)), np.pi / 2, float(FOOT - top))
    strip = straighten(film, axis, above_px=1.5 * HALF, below_px=HALF, half_px=2.3 * HALF + 16)
    place = find_platform(strip, find_walls(strip, HALF))
    return top + place.z_px, place


def body(top):
    return bar(bone_film(), HALF, top, FOOT, METAL)


def test_an_open_top_is_seen():
    hollow = bar(body(CREST - 10), 9, CREST - 10, CREST + 60, 0.6)
    row, place = place_on(finished(hollow), CREST - 10)
    assert place.joint == "seen"
    assert row == pytest.approx(CREST - 10, abs=3)


def test_the_shoulder_beside_an_index_is_the_platform():
    index = bar(body(CREST - 10), 15, CREST - 20, CREST - 9, METAL)
    row, place = place_on(finished(index), CREST - 20)
    assert place.joint == "seen"
    assert row == pytest.approx(CREST - 10, abs=3)


def test_a_narrower_post_under_a_crown_stands_on_the_platform():
    post = bar(body(CREST - 8), 16, 40, CREST - 8, METAL)
    row, place = place_on(finished(bar(post, 45, 30, 110, 0.98)), 70)
    assert place.joint == "guessed"
    assert row == pytest.approx(CREST - 8, abs=4)


def test_where_nothing_of_the_joint_shows_the_bone_tells():
    straight = bar(body(CREST), HALF, 20, CREST, METAL)
    row, place = place_on(finished(straight), 40)
    assert place.joint == "hidden"
    assert "bone" in place.note
    assert CREST - 2 * HALF < row < CREST
    assert abs(row - CREST) < 2 * place.std * HALF  # its spread says how little it knows


def test_a_flat_cover_is_not_called_a_platform():
    row, place = place_on(finished(body(CREST - 28)), CREST - 28)
    assert place.joint == "guessed"
    assert row > CREST - 28


def test_a_wide_top_near_the_bone_without_a_channel_is_taken_but_not_called_seen():
    row, place = place_on(finished(body(CREST - 15)), CREST - 15)
    assert place.joint == "guessed"
    assert "covers" in place.note
    assert row == pytest.approx(CREST - 15, abs=3)


def test_below_a_narrow_healing_part_the_body_begins():
    healing = bar(body(CREST - 8), 14, CREST - 45, CREST - 8, METAL)
    row, _ = place_on(finished(healing), CREST - 45)
    assert row == pytest.approx(CREST - 8, abs=3)
