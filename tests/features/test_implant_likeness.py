from dataclasses import replace

import pytest

from features.implant_likeness import Looks, judge
from features.quantity import Measured, NotMeasured

TIP = Measured(300.0, 0.5, "px")
USUAL = Looks(
    slender=3.0, rough=0.1, walled=1.0, contrast=0.45, bone=0.4, halo=0.0, wide=0.13, taper=0.05
)


def test_a_usual_body_is_likely_and_never_certain():
    assert 0.9 < judge(USUAL, TIP)[0] < 0.98


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"slender": 0.7}, "ball"),
        ({"slender": 9.0}, "slender"),
        ({"rough": 0.35}, "straight"),
        ({"walled": 0.4}, "walls"),
        ({"contrast": 0.15}, "brighter"),
        ({"bone": 0.02}, "bone"),
        ({"halo": 0.6}, "root"),
        ({"wide": 0.03}, "narrow"),
        ({"taper": 0.9}, "narrows"),
        ({"taper": -0.4}, "widens"),
    ],
)
def test_what_speaks_against_an_implant_is_named(change, word):
    probability, reason = judge(replace(USUAL, **change), TIP)
    assert probability < 0.2
    assert word in reason


def test_without_an_end_at_the_apex_it_is_more_likely_something_else():
    assert judge(USUAL, NotMeasured("no edge"))[0] < 0.5
