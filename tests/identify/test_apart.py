import pytest

from identify.apart import tell_apart
from identify.knowledge import load_notes
from identify.weigh import weigh
from tests.identify.small_notes import evidence, film, notes, said

ITEMS = {"thread_pitch_mm": film(0.65, 0.01), "vents": said("absent", 0.9)}


def apart(first="fine_screw", second="coarse_screw", items=ITEMS, known=None):
    known = known or notes()
    given = evidence(items)
    return tell_apart(first, second, given, known, weigh(given, known))


def test_differences_are_points_of_the_one_less_those_of_the_other():
    ranking = weigh(evidence(ITEMS), notes())
    told = {d.item: d.points for d in apart().differences}
    for item, points in told.items():
        rows = [
            next(row.points for row in ranking.find(key).rows if row.item == item)
            for key in ("fine_screw", "coarse_screw")
        ]
        assert points == pytest.approx(rows[0] - rows[1])
    assert "thread_pitch_mm" in told


def test_exchanging_the_two_turns_every_sign():
    one, other = apart(), apart("coarse_screw", "fine_screw")
    assert one.points == pytest.approx(-other.points)
    assert [d.points for d in one.differences] == pytest.approx(
        [-d.points for d in other.differences]
    )


def test_what_is_missing_is_open_and_parts_the_two():
    questions = apart().missing
    assert "Is there an index?" in questions
    assert "Is there a hole through the body?" not in questions  # answered


def test_a_question_both_answer_alike_is_not_missing():
    assert "What is the lower end like?" not in apart("coarse_screw", "fine_screw").missing


def test_the_notes_own_separator_and_limit_are_told():
    known = load_notes()
    given = evidence({})
    told = tell_apart(
        "bone_level_cone", "deep_cone_progressive_thread", given, known, weigh(given, known)
    )
    assert "thinner neck" in told.separator
    assert told.limit.startswith("While something is seated")
    assert set(told.to_json()) >= {"separator", "differences", "missing", "points"}
