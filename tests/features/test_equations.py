"""Small equations against NumPy's."""

import numpy as np
import pytest

from features.equations import solved

CHANCE = np.random.default_rng(5)


@pytest.mark.parametrize("shape", [(4,), (4, 2)])
def test_the_solution_is_numpys_and_nothing_is_overwritten(shape):
    matrix, wanted = CHANCE.random((4, 4)), CHANCE.random(shape)
    before = matrix.copy(), wanted.copy()
    assert solved(matrix, wanted) == pytest.approx(np.linalg.solve(matrix, wanted), rel=1e-12)
    assert np.array_equal(matrix, before[0])
    assert np.array_equal(wanted, before[1])


def test_what_has_no_single_solution_is_refused():
    with pytest.raises(np.linalg.LinAlgError):
        solved(np.zeros((2, 2)), np.ones(2))
