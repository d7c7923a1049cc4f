"""Rows of holes through a hollow's wall: drawn exactly, and on simulated films."""

from tests.features.bodies_on_film import read
from tests.features.drawn_bodies import ellipse, film, knots, rod
from tests.features.simulated_films import films

CHANNEL = knots((0.0, 1.0), (4.0, 1.0))
ROWS = (5.5, 6.8, 8.1, 9.2)


def pierced(*holes, channel=CHANNEL, **more):
    return read(film(rod(), channel=channel, holes=holes, **more))


def rows_of_holes(rows=ROWS, beside=(-0.7, 0.7), across=0.7):
    return [
        lambda t, z, x=x, at=at: ellipse(across, across, at)(t - x, z)
        for at in rows
        for x in beside
    ]


def test_a_tube_open_below_with_rows_of_small_holes_is_perforated():
    found = pierced(*rows_of_holes(), channel=knots((4.0, 1.5), (10.1, 1.5)))
    assert found.findings["perforations"].state == "present"
    assert found.forms["apex_form"].state == "open"


def test_a_hollow_parted_by_a_bridge_between_its_holes_is_perforated():
    hollow = knots((4.0, 1.5), (7.3, 1.5), (7.31, 0.2), (7.5, 0.2), (7.51, 1.5), (10.1, 1.5))
    assert pierced(*rows_of_holes(), channel=hollow).findings["perforations"].state == "present"


def test_a_hollow_parted_by_a_bridge_without_holes_is_not_perforated():
    hollow = knots((4.0, 1.5), (7.3, 1.5), (7.31, 0.2), (7.5, 0.2), (7.51, 1.5), (10.1, 1.5))
    assert pierced(channel=hollow).findings["perforations"].state == "absent"


def test_a_tube_open_below_without_holes_is_not_perforated():
    found = pierced(channel=knots((4.0, 1.5), (10.1, 1.5)))
    assert found.findings["perforations"].state == "absent"
    assert found.forms["apex_form"].state == "open"


def test_a_hollow_too_faint_to_stand_out_is_known_by_its_holes():
    assert pierced(*rows_of_holes()).findings["perforations"].state == "present"


def test_holes_on_one_level_are_none():
    assert pierced(*rows_of_holes(rows=(7.0,))).findings["perforations"].state == "absent"


def test_one_hole_above_another_is_none():
    found = pierced(*rows_of_holes(beside=(0.0,)))
    assert found.findings["perforations"].state == "absent"


def test_spots_close_below_each_other_are_a_thread_s_turns():
    found = pierced(*rows_of_holes(rows=(6.0, 6.5, 7.0, 7.5, 8.0), across=0.4))
    assert found.findings["perforations"].state == "absent"


def test_perforations_of_simulated_films_are_told_from_everything_else():
    told = [film.finding("perforations") for film in films()]
    wrong = [t for t in told if (t[2] == "present") != t[1]]
    # Reached: none wrong of 24 (3 baskets, 21 others).
    assert len(wrong) <= 1
    assert sum(there for _, there, _ in told) == 3
