"""What is said of a film before its numbers are believed."""

import numpy as np
from scipy import ndimage

from tests.features.bodies_on_film import read, threaded
from tests.features.drawn_bodies import film, rod


def said(pixels, truth):
    return " ".join(read((pixels, truth)).notes)


def test_a_good_film_gets_no_note():
    assert said(*film(rod())) == ""
    assert said(*threaded()) == ""


def test_burnt_out_metal_is_said_with_what_can_still_be_trusted():
    pixels, truth = film(rod())
    burnt = np.clip(pixels * 1.3, 0, 1)
    notes = said(burnt, truth)
    assert "burnt out" in notes
    assert "trust the outline" in notes


def test_a_faint_implant_is_said():
    pixels, truth = film(rod())
    assert "hardly stands out" in said(0.6 + 0.15 * (pixels - 0.6), truth)


def test_a_moved_film_is_said_with_how_much():
    pixels, truth = threaded()
    moved = ndimage.uniform_filter1d(pixels, 21, axis=1)
    assert "edges are blurred over" in said(moved, truth)
