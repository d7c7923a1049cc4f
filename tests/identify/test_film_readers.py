"""A reading of the film is weighed by how such readings are right, as sure as they say they are."""

import pytest
from pydantic import ValidationError

from identify.checklist import FilmReader
from identify.evidence import Item
from identify.hypotheses import answer_under
from identify.knowledge import load_notes

CHECKLIST = load_notes().checklist
COUNTED = {"standing": "derived", "note": "counted for this test"}

# seen in 4 of 10 that have it and in 2 of 100 that have not; wrongly only where it is doubtful
SEEN = {"present": [0.1, 0.3], "absent": [0.0, 0.6]}
UNSEEN = {"present": [0.02, 0.0], "absent": [0.0, 0.98]}


def reader(sure_from=(0.8,), present=SEEN, absent=UNSEEN):
    read_as = {"present": present, "absent": absent}
    return FilmReader(sure_from=sure_from, read_as=read_as, **COUNTED)


def vents(reader):
    return CHECKLIST.items["vents"].model_copy(update={"reader": reader})


@pytest.mark.parametrize(
    ("sure", "there", "not_there"), [(0.6, 0.1, 0.02), (0.8, 0.3, 0.0), (0.95, 0.3, 0.0)]
)
def test_a_reading_weighs_what_as_sure_ones_weigh(sure, there, not_there):
    item = Item(state="present", probability=sure, by="film")
    assert tuple(answer_under(item, vents(reader()))) == (there, not_there)


def test_a_persons_answer_is_not_weighed_by_the_films_table():
    item = Item(state="present", probability=0.9, by="eye")
    assert answer_under(item, vents(reader()))[0] > 0.8


def test_an_item_without_a_table_takes_the_film_at_its_word():
    item = Item(state="present", probability=1.0, by="film")
    assert tuple(answer_under(item, vents(None))) == (1.0, 0.0)


def test_a_table_needs_a_share_for_each_part_of_the_sureness():
    with pytest.raises(ValidationError, match="sure_from"):
        reader(sure_from=(0.7, 0.9))


def test_shares_of_one_true_state_sum_to_one():
    with pytest.raises(ValidationError, match="sum"):
        reader(present=SEEN | {"absent": [0.0, 0.5]})


@pytest.mark.parametrize("key", [k for k, e in CHECKLIST.items.items() if e.reader])
def test_where_a_state_is_true_it_is_read_at_least_as_often_as_where_another_is(key):
    """Else seeing it would speak against it."""
    table = CHECKLIST.items[key].reader.read_as
    for state in table:
        shares = {true: sum(row[state]) for true, row in table.items()}
        assert shares[state] >= max(shares.values()) - 0.01, state
