"""A tooth's root as solids."""

import numpy as np
import pytest

from sample_images.root import GAP_MM, LAMINA_MM, Canal, Root
from tests.sample_images.sections import inside


@pytest.mark.parametrize("two", [False, True])
def test_a_root_is_lined_by_a_dark_gap_and_a_bright_lamina(two):
    root = Root.draw(np.random.default_rng(3), two=two)
    canals = (Canal(1.0, root.length_mm - 1, 0.5),) * (2 if two else 1)
    (part,) = root.parts(canals, None)
    x = np.linspace(0, 8, 1601)
    z = np.full(x.shape, 0.6 * root.length_mm)
    fields = [inside(lambda rays, k=k: part.fields(rays)[k], x, 0 * x, z) > 0 for k in range(4)]
    outermost = [np.max(x[field]) for field in (fields[0], fields[2], fields[3])]
    assert outermost[0] < outermost[1] < outermost[2]
    assert outermost[1] - outermost[0] == pytest.approx(GAP_MM, abs=0.03)
    assert outermost[2] - outermost[1] == pytest.approx(LAMINA_MM, abs=0.03)
    assert fields[1].any()
