"""Crowns."""

import numpy as np
import pytest

from sample_images.crown import STYLES, draw_crown
from tests.sample_images.sections import inside


@pytest.mark.parametrize("style", STYLES)
def test_a_crown_is_made_of_what_its_style_says(style):
    kinds = {
        (crown.material, crown.veneer_mm > 0)
        for crown in (
            draw_crown(style, 2.0, -1.0, -9.0, np.random.default_rng(seed)) for seed in range(40)
        )
    }
    assert kinds == set(STYLES[style])


def test_a_crown_is_widest_at_its_bulge_and_solid_inside_its_shell():
    crown = draw_crown("metal-ceramic crown", 2.0, -1.0, -9.0, np.random.default_rng(1))
    solid = crown.solid()
    x = np.linspace(0, 5, 1001)
    wide = [float(x[inside(solid, x, 0 * x, 0 * x + z) > 0].max()) for z in (-1.2, -6.0)]
    assert wide[0] == pytest.approx(2.0, abs=0.25)
    assert wide[1] == pytest.approx(crown.half_width_mm, abs=0.1)
    assert inside(solid, 0.0, 0.0, -9.1) < 0
    assert inside(solid, 0.0, 0.0, -0.9) < 0
