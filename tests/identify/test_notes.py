"""The notes themselves: complete, in step with the checklist, nothing that must not be there."""

from __future__ import annotations

import json
import re

import pytest

from features.marks import check_marks
from identify.case_file import Case, CaseImplant
from identify.checklist import ChecklistItem
from identify.evidence import Evidence, check_evidence
from identify.knowledge import FOLDER, check_notes, load_notes
from identify.note import NumberFact
from identify.restore import plan
from identify.rules import Rules

KEYS = {
    "external_hex_parallel",
    "external_hex_tapered",
    "external_spline",
    "internal_hex_parallel",
    "internal_hex_tapered",
    "internal_flat_index",
    "tri_channel",
    "internal_tube_index",
    "tissue_level_cone",
    "hollow_basket",
    "bone_level_cone",
    "deep_cone_progressive_thread",
    "plateau_locking_taper",
    "pressfit_cylinder_indexed",
    "pressfit_cylinder_plain_bore",
    "stepped_cylinder",
    "porous_surfaced",
    "deep_thread_tapered",
    "one_piece_screw",
    "mini_one_piece",
    "ceramic",
    "blade_plate",
    "beyond_root_form",
}
NOTES = load_notes()
FAMILIES = pytest.mark.parametrize("family", NOTES.families.values(), ids=lambda f: f.key)
TEXTS = sorted([*FOLDER.rglob("*.md"), *FOLDER.rglob("*.toml")])


def test_notes_check_finds_nothing() -> None:
    assert check_notes() == []


def test_every_family_has_its_note_and_no_other() -> None:
    assert set(NOTES.families) == KEYS


def test_every_source_is_cited_and_every_citation_is_a_source() -> None:
    files = [path for path in TEXTS if path.name != "FORMAT.md"]
    texts = "\n".join(path.read_text(encoding="utf-8") for path in files)
    prose = "\n".join(
        text
        for note in (*NOTES.families.values(), *NOTES.rivals.values())
        for text in note.prose.values()
    )
    in_prose = set(re.findall(r"\[(\w+)\]", prose))
    assert in_prose <= set(NOTES.sources)
    assert in_prose | set(re.findall(r'source = "(\w+)"', texts)) == set(NOTES.sources)


@pytest.mark.parametrize("path", TEXTS, ids=lambda path: path.name)
def test_no_torque_stands_anywhere(path) -> None:
    text = path.read_text(encoding="utf-8")
    assert not re.search(r"\d\s*N\s*[·.]?\s*c?m\b", text)


@FAMILIES
def test_family_can_stop_or_be_restored_with_checks_and_cautions(family) -> None:
    restoring = family.restoring
    assert restoring.checks
    assert restoring.cautions
    assert bool(restoring.options) != bool(restoring.stop)


@FAMILIES
def test_a_single_is_judged_for_every_state_of_the_index_it_depends_on(family) -> None:
    ways = {}
    for option in family.restoring.options:
        if option.indication == "single":
            ways.setdefault((option.retention, option.making), set()).add(option.index)
    for way, states in ways.items():
        own = family.restoring.index
        assert None in states or own in states or states == {"present", "absent"}, way


def test_a_cylinder_without_an_index_never_suits_a_single() -> None:
    options = NOTES.families["pressfit_cylinder_plain_bore"].restoring.options
    singles = {o.verdict for o in options if o.indication == "single"}
    assert singles == {"does_not_suit"}


def test_a_locking_taper_is_never_screwed_nor_cast_to() -> None:
    options = NOTES.families["plateau_locking_taper"].restoring.options
    assert options
    assert all(o.retention != "screw" for o in options)
    assert all(o.making not in ("cast_to", "castable") for o in options)


def test_bore_widths_hold_the_standard_screws_of_their_families() -> None:
    # ISO 261: M2; ANSI B1.1: UNF 1-72, major diameter 0.073 in = 1.854 mm
    for key, major_mm in (
        ("external_hex_parallel", 2.0),
        ("internal_hex_tapered", 1.854),
        ("internal_hex_parallel", 1.854),
        ("tissue_level_cone", 2.0),
        ("bone_level_cone", 1.6),
        ("deep_cone_progressive_thread", 1.6),
    ):
        fact = NOTES.families[key].facts["bore_width_mm"]
        assert isinstance(fact, NumberFact)
        assert fact.low <= major_mm <= fact.high, key


def test_only_families_alike_in_outline_are_called_inseparable() -> None:
    for family in NOTES.families.values():
        for alike in family.lookalikes:
            if alike.inseparable == "never":
                continue
            ours, theirs = family.facts, NOTES.families[alike.key].facts
            for key in ("coronal_width_mm", "taper_deg", "length_mm"):
                assert ours[key].low <= theirs[key].high, (family.key, alike.key, key)
                assert theirs[key].low <= ours[key].high, (family.key, alike.key, key)


def test_every_question_has_a_way_to_answer_and_every_length_a_ratio() -> None:
    for item in NOTES.checklist.items.values():
        assert bool(item.question) == bool(item.asked_of), item.key
        # what no film shows needs no ratio to a film's width
        if item.kind == "length" and item.reader and item.key != "coronal_width_mm":
            assert item.ratio.endswith("_to_width"), item.key


@pytest.mark.parametrize(
    ("probability", "least_points", "word"),
    [
        (0.8, 0.0, "well supported"),
        (0.79, -19.9, "possible"),
        (0.2, 0.0, "possible"),
        (0.19, 0.0, "weakly supported"),
        (0.01, 0.0, "weakly supported"),
        (0.0099, 0.0, "contradicted"),
        (0.9, -20.0, "contradicted"),
    ],
)
def test_verdict_words_follow_their_thresholds(
    probability: float, least_points: float, word: str
) -> None:
    assert NOTES.checklist.word(probability, least_points) == word


# ---- FORMAT.md ---------------------------------------------------------------------------------

FORMAT = (FOLDER / "FORMAT.md").read_text(encoding="utf-8")


def example(kind):
    """The one JSON block that FORMAT.md shows for a kind of file."""
    blocks = re.findall(r"```json\n(.*?)```", FORMAT, flags=re.DOTALL)
    found = [block for block in blocks if f'"radiofixture": "{kind}"' in block]
    assert len(found) == 1
    return json.loads(found[0])


def test_example_files_are_what_the_program_reads() -> None:
    check_marks(example("marks/1"), width=1600, height=1200)
    check_evidence(Evidence.model_validate(example("evidence/1")), NOTES.checklist)
    Case.model_validate(example("case/1"))


def test_example_plan_has_the_keys_of_a_real_one() -> None:
    shown, real = example("plan/1"), plan(Case.model_validate(example("case/1")), NOTES).to_json()
    assert list(shown) == list(real)
    assert list(shown["options"][0]) == list(real["options"][0])
    assert list(shown["options"][0]["reasons"][0]) == list(real["options"][0]["reasons"][0])


def test_every_entry_a_file_may_hold_is_explained() -> None:
    entries = [
        *Case.model_fields,
        *CaseImplant.model_fields,
        *Rules.model_fields,
        *(set(ChecklistItem.model_fields) - {"key"}),
        *(item.ratio for item in NOTES.checklist.items.values() if item.ratio),
        *(key for key, item in NOTES.checklist.items.items() if item.kind in ("length", "angle")),
        *NOTES.rules.stop_signs,
    ]
    assert [entry for entry in entries if entry not in FORMAT] == []
