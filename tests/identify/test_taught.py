"""Confirmed cases teach from what was stated before they were confirmed, and nothing else."""

from __future__ import annotations

import pytest

from identify.casebook import Casebook
from identify.taught import confirmed_cases, what_was_taught
from tests.identify.kept_cases import started, unfilmed_case

ORDERABLE = frozenset({"trial", "record"})
TITLES = {"one": "The first", "two": "The second"}


@pytest.fixture
def book(tmp_path):
    return Casebook(tmp_path)


def ranking(**shares):
    return {"ranking": [{"family": key, "probability": p} for key, p in shares.items()]}


def confirm(book, rung="trial", family="The first", status="trial"):
    first = started(book)
    book.note_ranking(first.key, 1, "A", ranking(one=0.6, two=0.3), ["v"])
    work = first.case.films[0].model_copy(update={"confirmed": {"A": (rung, family)}})
    changed = first.case.model_copy(update={"films": (work,), "status": status})
    saved = book.save(first.key, changed, "confirmed", after=1)
    book.note_ranking(first.key, saved.step.number, "A", ranking(one=0.99, two=0.0), ["v"])


def test_what_counts_is_what_was_stated_before_the_confirmation(book):
    confirm(book)
    (case,) = confirmed_cases(book, ORDERABLE)
    assert case.stated == {"one": 0.6, "two": 0.3}
    assert case.family == "The first"


def test_a_case_without_a_film_teaches_too(book):
    first = book.start(unfilmed_case())
    book.note_ranking(first.key, 1, "A", ranking(one=0.6, two=0.3), ["v"])
    confirmed = {"A": ("record", "The first")}
    book.save(first.key, unfilmed_case(confirmed=confirmed), "confirmed", after=1)
    (case,) = confirmed_cases(book, ORDERABLE)
    assert (case.family, case.stated) == ("The first", {"one": 0.6, "two": 0.3})


@pytest.mark.parametrize("kind", [{"rung": "bench"}, {"status": "refuted"}])
def test_neither_a_lower_rung_nor_a_refuted_case_teaches(book, kind):
    confirm(book, **kind)
    assert confirmed_cases(book, ORDERABLE) == []


def test_frequencies_and_reliability_are_those_of_the_cases(book):
    for family in ("The first", "The first", "The second"):
        confirm(book, family=family)
    taught = what_was_taught(confirmed_cases(book, ORDERABLE), TITLES)
    assert taught.met == {"The first": 2, "The second": 1}
    assert sum(b.cases for b in taught.bins) == taught.cases == 3
    assert sum(b.right * b.cases for b in taught.bins) == pytest.approx(2)
    assert taught.shares["one"] == pytest.approx(3 / 5)  # one invented case each, two and one real


def test_without_a_case_nothing_is_taught_and_families_are_alike():
    taught = what_was_taught([], TITLES)
    assert (taught.cases, taught.bins) == (0, ())
    assert set(taught.shares.values()) == {0.5}
