"""How likely an answer in words is where each state is the true one."""

import numpy as np
import pytest

from identify.state_likelihood import said_under


@pytest.mark.parametrize("states", [("present", "absent"), ("flat", "dome", "pointed")])
def test_an_answer_no_surer_than_chance_says_nothing(states):
    said = said_under(states[0], 1 / len(states), states)
    assert said == pytest.approx(np.full(len(states), said[0]))


def test_an_answer_weighs_by_its_own_doubt():
    half, whole = (said_under("present", sure, ("present", "absent")) for sure in (0.75, 1.0))
    assert half[1] > whole[1] == 0
