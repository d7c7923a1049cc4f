"""Marks in the making: what is in place, what waits, and what they add up to."""

from dataclasses import replace

import numpy as np
import pytest

from features.input_file import BadInput
from features.marks import Marks
from features.radiograph import Radiograph, Spacing
from identify.evidence import Item
from identify.screens import marking
from identify.screens.case import Case, marked_case, unmarked_case

WIDTH, HEIGHT = 400, 300
SIZE = {"width": WIDTH, "height": HEIGHT}
NOTHING = frozenset()


def film(pixels=None, sha256="f" * 64):
    grey = np.zeros((HEIGHT, WIDTH), np.float32) if pixels is None else pixels
    return Radiograph(grey.astype(np.float32), sha256, 8)


@pytest.fixture
def draft():
    return marking.start_draft(WIDTH, HEIGHT)


def test_start_marks_are_valid_marks_once_they_are_in_place(draft):
    marks = marking.finished_marks(draft, NOTHING, **SIZE)
    assert [implant.label for implant in marks.implants] == ["A"]


def test_nothing_is_measured_while_one_handle_waits(draft):
    for name in marking.implant_ids("A"):
        assert marking.finished_marks(draft, frozenset({name}), **SIZE) is None


def test_handles_of_an_unmarked_film_all_wait():
    case = unmarked_case(film(), "mine")
    assert case.pending == set(marking.implant_ids("A"))
    assert case.marks() is None


def test_a_moved_handle_no_longer_waits():
    case = unmarked_case(film(), "mine")
    for name in marking.implant_ids("A"):
        case.move(marking.points_of(case.draft), name)
    assert case.marks() is not None


def test_points_go_in_and_come_out_unchanged(draft):
    points = marking.points_of(draft) | {"A:apex": (123.25, 222.5)}
    assert marking.points_of(marking.with_points(draft, points)) == points


def test_a_handle_of_another_film_is_ignored(draft):
    assert marking.with_points(draft, {"B:apex": (1.0, 2.0)}) == draft


def test_the_first_draft_is_not_changed_by_a_move(draft):
    before = marking.points_of(draft)
    marking.with_points(draft, {"A:apex": (1.0, 2.0)})
    assert marking.points_of(draft) == before


@pytest.mark.parametrize("bright_rows", [slice(0, 60), slice(240, 300)])
def test_the_platform_starts_in_the_half_where_the_crowns_are(bright_rows):
    pixels = np.zeros((HEIGHT, WIDTH), np.float32)
    pixels[bright_rows, 150:250] = 1
    case = unmarked_case(film(pixels), "mine")
    (_, platform_y), apex_y = case.hull("A")[0], case.hull("A")[2][1]
    assert (platform_y < apex_y) == (bright_rows.start == 0)


@pytest.mark.parametrize("kind", ["ball", "line"])
def test_a_known_length_without_its_size_is_no_scale(draft, kind):
    changed = marking.with_scale_kind(draft, kind, WIDTH, HEIGHT)
    assert marking.finished_marks(changed, NOTHING, **SIZE).scale.kind == "none"
    sized = changed | {"scale": changed["scale"] | {"size_mm": 5.0}}
    assert marking.finished_marks(sized, NOTHING, **SIZE).scale.kind == kind


def test_no_size_is_ever_filled_in_for_the_user(draft):
    for kind in marking.SIZE_OF:
        scale = marking.with_scale_kind(draft, kind, WIDTH, HEIGHT)["scale"]
        assert marking.scale_lacks_size(scale)


def test_a_known_length_still_at_its_start_place_is_no_scale(draft):
    changed = marking.with_scale_kind(draft, "line", WIDTH, HEIGHT)
    changed["scale"]["size_mm"] = 8.0
    waiting = marking.start_pending(draft, changed)
    assert waiting == set(marking.SCALE_IDS)
    assert marking.finished_marks(changed, waiting, **SIZE).scale.kind == "none"


def test_a_second_implant_waits_and_the_first_stays_measured(draft):
    two = marking.with_second_implant(draft, WIDTH, HEIGHT)
    waiting = marking.start_pending(draft, two)
    marks = marking.finished_marks(two, waiting, **SIZE)
    assert [implant.label for implant in marks.implants] == ["A"]
    assert len(marking.waiting_sentences(two, waiting)) == 1


def test_removing_the_implant_that_set_the_scale_takes_the_scale_too(draft):
    two = marking.with_second_implant(draft, WIDTH, HEIGHT)
    scaled = two | {"scale": {"kind": "implant_length", "label": "B", "size_mm": 10.0}}
    assert marking.without_implant(scaled, "B")["scale"] == {"kind": "none"}
    assert marking.without_implant(scaled, "A")["scale"]["label"] == "B"


def test_marks_that_contradict_each_other_are_refused_in_one_sentence(draft):
    points = marking.points_of(draft)
    flat = marking.with_points(draft, {"A:apex": points["A:platform_1"]})
    with pytest.raises(BadInput, match="platform line"):
        marking.finished_marks(flat, NOTHING, **SIZE)


def test_every_link_joins_handles_that_are_drawn(draft):
    two = marking.with_second_implant(draft, WIDTH, HEIGHT)
    for kind in ("none", "ball", "line"):
        changed = marking.with_scale_kind(two, kind, WIDTH, HEIGHT)
        drawn = {handle["id"] for handle in marking.handles_of(changed, NOTHING)}
        assert drawn == set(marking.points_of(changed))
        for link in marking.links_of(changed):
            assert set(link["between"]) <= drawn


@pytest.mark.parametrize(
    ("plane", "kind"),
    [("patient", "dicom"), ("imager", "dicom"), ("scanned", "none"), ("unknown", "none")],
)
def test_a_spacing_in_the_file_is_the_scale_where_its_meaning_is_known(plane, kind):
    spaced = replace(film(), spacing=Spacing(0.02, plane))
    assert unmarked_case(spaced, "mine").draft["scale"]["kind"] == kind


def test_undo_goes_back_through_moves_and_added_implants():
    case = unmarked_case(film(), "mine")
    first = (case.draft, case.pending)
    case.move({"A:apex": (10.0, 20.0)}, "A:apex")
    case.redraw(marking.with_second_implant(case.draft, WIDTH, HEIGHT))
    case.undo()
    assert case.labels == ["A"]
    case.undo()
    assert (case.draft, case.pending) == first
    case.undo()  # nothing left to undo
    assert (case.draft, case.pending) == first


def test_a_drag_keeps_the_revision_and_anything_drawn_anew_changes_it():
    case = unmarked_case(film(), "mine")
    start = case.revision
    case.move({"A:apex": (10.0, 20.0)}, "A:apex")
    assert case.revision == start
    case.undo()
    assert case.revision != start


def test_two_films_never_share_a_revision():
    one, other = film(), film(sha256="e" * 64)
    assert unmarked_case(one, "one").revision != unmarked_case(other, "other").revision


def test_marks_from_a_file_come_back_as_they_were(draft):
    marks = Marks.model_validate(draft)
    assert marked_case(film(), "demo", marks).marks() == marks


def test_a_case_is_confirmed_only_for_the_implant_that_was():
    case = Case(film(), "mine", marking.start_draft(WIDTH, HEIGHT))
    assert not case.standing
    case.confirmed["A"] = ("trial", "some family")
    assert case.standing == {"A": ("trial", "some family")}


def test_what_was_placed_with_a_removed_implant_is_not_said_of_the_next_one():
    draft = marking.with_second_implant(marking.start_draft(WIDTH, HEIGHT), WIDTH, HEIGHT)
    case = Case(film(), "mine", draft)
    together = Item(state="present", by="known", beside="B", lends={"ceramic": 1.0})
    case.answer("A", "placed_with", together)
    case.answer("A", "index", Item(state="present", by="mouth"))
    case.remove_implant("B")
    assert set(case.answers["A"]) == {"index"}
    case.undo()
    assert case.answers["A"]["placed_with"] == together
    assert set(case.answers["A"]) == {"index", "placed_with"}


def test_a_refuted_case_stands_confirmed_for_nothing():
    case = Case(film(), "mine", marking.start_draft(WIDTH, HEIGHT))
    case.confirmed["A"] = ("trial", "some family")
    case.refuted = True
    assert not case.standing
