"""The loader refuses what is wrong in a note, in one sentence with file, entry and way out."""

from __future__ import annotations

import shutil
import time
from pathlib import Path

import pytest

from identify.knowledge import FOLDER, BadNote, check_notes, load_notes
from identify.note import NumberFact, StateFact

BASKET = "families/hollow_basket.md"
PITCH = "thread_pitch_mm = { low = 1.0, high = 1.25, edge = 0.12, "
THREADS = 'threads = { present = 0.3, absent = 0.7, standing = "from memory" }'
SEEN = "perforations = { when ="
ALIKE = '[[lookalikes]]\nkey = "tissue_level_cone"'


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return Path(shutil.copytree(FOLDER, tmp_path / "notes"))


def spoil(folder: Path, name: str, old: str, new: str) -> None:
    path = folder / name
    text = path.read_text(encoding="utf-8")
    assert text.count(old) >= 1, f"{name} no longer contains {old!r}"
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


BAD = [
    # file, what is replaced, by what, words the sentence must contain
    (BASKET, 'era = "', 'maker = "x"\nera = "', ["'maker'", "not a known entry"]),
    (BASKET, 'key = "hollow_basket"', 'key = "basket"', ["'key'", "hollow_basket"]),
    (BASKET, PITCH, "thread_lead_mm = { low = 1.0, high = 1.25, edge = 0.12, ", ["thread_lead_mm"]),
    (BASKET, PITCH, PITCH + "mean = 1.1, ", ["facts.thread_pitch_mm", "'mean'", "not a known"]),
    (BASKET, PITCH, PITCH.replace("0.12", "0.0"), ["facts.thread_pitch_mm", "'edge'"]),
    (BASKET, PITCH, PITCH.replace("1.25", "0.25"), ["facts.thread_pitch_mm", "'low'"]),
    (BASKET, PITCH, PITCH.replace("1.25", "nan"), ["facts.thread_pitch_mm", "'high'"]),
    (BASKET, PITCH, PITCH.replace("high = 1.25, ", ""), ["facts.thread_pitch_mm", "'high'", "add"]),
    (BASKET, THREADS, THREADS.replace("0.7,", "0.6,"), ["facts.threads", "sum to 0.9"]),
    (
        BASKET,
        THREADS,
        THREADS.replace("0.3,", "0.0,").replace("0.7,", "1.0,"),
        ["facts.threads", "'present' is 0"],
    ),
    (BASKET, THREADS, THREADS.replace("present", "seen"), ["facts.threads", "'seen'", "present"]),
    (BASKET, THREADS, THREADS.replace(', standing = "from memory"', ""), ["'standing'", "add"]),
    (BASKET, THREADS, THREADS.replace("from memory", "certain"), ["facts.threads", "'standing'"]),
    (BASKET, THREADS, THREADS.replace("from memory", "source"), ["facts.threads", "'source'"]),
    (
        BASKET,
        THREADS,
        THREADS.replace('"from memory"', '"source", source = "no_such_source"'),
        ["facts.threads", "no_such_source", "sources.toml"],
    ),
    (BASKET, THREADS, THREADS.replace("from memory", "derived"), ["facts.threads", "formula"]),
    (BASKET, THREADS, "", ["facts.threads", "missing"]),
    (BASKET, "\ncone = 0.", "\ncone = 0.1", ["'connection'", "sum to"]),
    (BASKET, "\ncone = ", "\n# cone = ", ["connection.cone", "missing"]),
    (BASKET, "\ncone = ", "\nkone = ", ["connection.kone", "not a known entry"]),
    (BASKET, ALIKE, ALIKE.replace("tissue_level_cone", "no_such_family"), ["no_such_family"]),
    (BASKET, ALIKE, ALIKE.replace("tissue_level_cone", "tri_channel"), ["in return"]),
    (BASKET, ALIKE, ALIKE + '\ninseparable = "film"', ["inseparable", "agree"]),
    (BASKET, ALIKE, ALIKE.replace("tissue_level_cone", "hollow_basket"), ["the family itself"]),
    (
        BASKET,
        ALIKE,
        ALIKE.replace("tissue_level_cone", "pressfit_cylinder_indexed"),
        ["pressfit_cylinder_indexed", "stands twice"],
    ),
    (BASKET, SEEN, SEEN.replace("perforations", "thread_lead_mm"), ["visible.thread_lead_mm"]),
    (BASKET, SEEN, SEEN.replace("when =", "seen ="), ["visible.perforations.when"]),
    (BASKET, ', standing = "from memory" }\n\n[[look', " }\n\n[[look", ["perforations.standing"]),
    (BASKET, "## Cautions", "## Warnings", ["## Cautions", "missing"]),
    (BASKET, "## Cautions", "## History\nOld.\n\n## Cautions", ["## History", "not a known"]),
    (BASKET, "+++\n", "", ["facts are missing", "+++"]),
    (BASKET, "[facts]", "[facts", ["not TOML"]),
    (BASKET, 'verdict = "with_care"', 'verdict = "fine"', ["restoring.options[0].verdict"]),
    ("rivals/not_an_implant.md", "[facts]", "[connection]\ncone = 0.2\n[facts]", ["rival"]),
    ("rivals/none_of_these.md", "+++\n## How", "[facts.bore]\n+++\n## How", ["'facts'", "broad"]),
    (
        "checklist.toml",
        'help = "From the platform plane',
        'helm = "From the platform plane',
        ["items.length_mm", "'help'", "missing"],
    ),
    ("checklist.toml", 'kind = "length"', 'kind = "state"', ["items.length_mm", "'kind'"]),
    ("checklist.toml", "broad = ", "brood = ", ["items.length_mm", "'broad'"]),
    ("checklist.toml", "prior_none = 0.08", "prior_none = 8", ["prior_none"]),
    ("restoration.toml", "least_mm = 4.0", "least_mm = -4.0", ["spaces[0].least_mm"]),
    (
        "restoration.toml",
        'source = "attachments_overview"',
        'source = "gone"',
        ["limits[1]", "gone"],
    ),
    ("shelf.toml", "value = 0.3,", "value = -0.3,", ["matching.prior_other.value"]),
    ("shelf.toml", "[parts]", "[part]", ["'parts' is missing"]),
    (
        "shelf.toml",
        'standing = "from memory", note = "ISO 261"',
        'standing = "source", source = "gone"',
        ["screws.M1.4", "gone"],
    ),
    ("sources.toml", 'read = "abstract"', 'read = "skimmed"', ["castable_fit", "read"]),
]


@pytest.mark.parametrize(("name", "old", "new", "words"), BAD)
def test_bad_note_is_refused_in_one_sentence(
    folder: Path, name: str, old: str, new: str, words: list[str]
) -> None:
    spoil(folder, name, old, new)
    with pytest.raises(BadNote) as caught:
        load_notes(folder)
    sentence = str(caught.value)
    assert Path(name).name in sentence
    assert all(word in sentence for word in words), sentence
    assert "\n" not in sentence


def test_check_lists_every_problem_not_only_the_first(folder: Path) -> None:
    spoil(folder, BASKET, 'key = "hollow_basket"', 'key = "basket"')
    spoil(folder, "families/tri_channel.md", 'era = "', 'maker = "x"\nera = "')
    spoil(folder, "sources.toml", 'read = "abstract"', 'read = "skimmed"')
    problems = check_notes(folder)
    assert len(problems) == 3
    assert {problem.split(":")[0] for problem in problems} == {
        "sources.toml",
        "families/hollow_basket.md",
        "families/tri_channel.md",
    }


def test_missing_rival_is_reported(folder: Path) -> None:
    (folder / "rivals/not_an_implant.md").unlink()
    assert check_notes(folder) == ["rivals/not_an_implant.md: this note is missing; restore it."]


def test_empty_folder_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BadNote, match="checklist"):
        load_notes(tmp_path)


def test_none_of_these_expects_what_the_checklist_calls_broad() -> None:
    notes = load_notes()
    assert notes.rivals["none_of_these"].facts == {
        key: item.broad for key, item in notes.checklist.items.items()
    }


def test_silent_state_is_equally_likely_in_every_note() -> None:
    notes = load_notes()
    shares = set()
    for family in (*notes.families.values(), *notes.rivals.values()):
        fact = family.facts["top_form"]
        assert isinstance(fact, StateFact)
        assert sum(fact.probabilities.values()) == pytest.approx(1)
        shares.add(fact.probabilities["covered"])
    assert len(shares) == 1


def test_own_option_row_replaces_the_groups() -> None:
    options = load_notes().families["pressfit_cylinder_plain_bore"].restoring.options
    milled = [o for o in options if (o.indication, o.retention) == ("splinted", "screw")]
    assert [o.verdict for o in milled if o.making == "milled"] == ["with_care"]


def test_facts_are_frozen() -> None:
    fact = load_notes().families["tri_channel"].facts["thread_pitch_mm"]
    assert isinstance(fact, NumberFact)
    with pytest.raises(ValueError, match="frozen"):
        fact.low = 0.0


def test_notes_are_read_once(folder: Path) -> None:
    assert load_notes(folder) is load_notes(folder)


def test_loading_is_quick(folder: Path) -> None:
    start = time.process_time()
    load_notes(folder)
    # 40 ms on the machine it was written on, 60 asked for; the rest is for busy machines
    assert time.process_time() - start < 0.3
