from __future__ import annotations

from string import ascii_uppercase

import pytest

from features.marks import FDI_TEETH
from identify.teeth import tooth_text, universal_number


def test_universal_numbers_run_once_round_the_mouth():
    upper = [f"1{n}" for n in range(8, 0, -1)] + [f"2{n}" for n in range(1, 9)]
    lower = [f"3{n}" for n in range(8, 0, -1)] + [f"4{n}" for n in range(1, 9)]
    numbers = [universal_number(tooth) for tooth in (*upper, *lower)]
    assert numbers == [str(number) for number in range(1, 33)]


def test_deciduous_teeth_have_letters_in_the_same_round():
    upper = [f"5{n}" for n in range(5, 0, -1)] + [f"6{n}" for n in range(1, 6)]
    lower = [f"7{n}" for n in range(5, 0, -1)] + [f"8{n}" for n in range(1, 6)]
    assert "".join(universal_number(tooth) for tooth in (*upper, *lower)) == ascii_uppercase[:20]


@pytest.mark.parametrize("tooth", sorted(FDI_TEETH))
def test_both_notations_are_said(tooth):
    assert tooth_text(tooth) == f"{tooth} (FDI), #{universal_number(tooth)} (Universal)"
