"""How likely an answer in words is where each state is the true one."""

import numpy as np
import pytest

from identify.state_likelihood import said_under

# seen in 4 of 10 that have it and in 2 of 100 that have not
TABLE = {
    "present": {"present": 0.4, "absent": 0.6},
    "absent": {"present": 0.02, "absent": 0.98},
}
STATES = ("present", "absent")


def test_a_reading_is_weighed_by_what_is_read_where_each_state_is_true():
    seen = said_under("present", 1.0, STATES, TABLE)
    missed = said_under("absent", 1.0, STATES, TABLE)
    assert seen[0] / seen[1] == pytest.approx(20.0)
    assert missed[1] / missed[0] == pytest.approx(0.98 / 0.6)


@pytest.mark.parametrize("states", [("present", "absent"), ("flat", "dome", "pointed")])
def test_an_answer_no_surer_than_chance_says_nothing(states):
    said = said_under(states[0], 1 / len(states), states)
    assert said == pytest.approx(np.full(len(states), said[0]))


def test_where_a_table_counts_the_errors_half_way_to_certainty_is_sure_enough():
    certain = said_under("present", 1.0, STATES, TABLE)
    assert said_under("present", 0.75, STATES, TABLE) == pytest.approx(certain)
    doubted = said_under("present", 0.6, STATES, TABLE)
    assert 1 < doubted[0] / doubted[1] < certain[0] / certain[1]
    assert said_under("present", 0.5, STATES, TABLE) == pytest.approx(certain.mean())


def test_without_a_table_an_answer_weighs_by_its_own_doubt_alone():
    half, whole = (said_under("present", sure, STATES) for sure in (0.75, 1.0))
    assert half[1] > whole[1] == 0
