"""How much a film could tell at best: learners given the true values of implants never drawn.

    python tests/benchmarks/ceiling.py --each 300

Draws implants by the notes, without films, and teaches a boosted forest group and family from
their true sizes, forms and findings, leaving out what a film of that implant cannot show: the
mouth while something is seated, a hole turned away from the beam. No reading of a film can be
surer than the truth it reads, so a rule held to more than this asks for what is not on the film.
Counted as `identify.py` counts: look-alikes inseparable in a film's state are both right.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import numpy as np
from sklearn.ensemble import HistGradientBoostingClassifier

from identify.cli_simulate import plain_facts
from identify.knowledge import Notes, load_notes
from sample_images.scene import FAMILIES
from sample_images.simulate import describe
from tests.benchmarks.scores import class_of, right_classes
from tests.benchmarks.simulated import LEFT_OUT
from tests.benchmarks.table import _share

FIRST_SEED = 500001
TESTED = 0.2  # of the implants; the rest teach
NOT_READ = ("tilt_deg", "crest_mesial_mm", "crest_distal_mm")  # of the site, not of the implant
HIDDEN = ("bore_mouth_mm", "bore_cone_deg")  # while something is seated
STATES = {"all": (False, True), "open": (False,), "covered": (True,)}


@dataclass(frozen=True, slots=True)
class Drawn:
    """One implant, as its truth tells it."""

    truth: Mapping[str, Any]

    @property
    def covered(self) -> bool:
        """Whether something stands on the implant."""
        return bool(self.truth["seated"] != "nothing")


def main() -> None:
    asked = arguments(__doc__, each=300)
    notes = load_notes()
    drawn = draw(asked.each, asked.level)
    table = table_of(drawn)
    tested = np.random.default_rng(0).random(len(drawn)) < TESTED
    groups = _learned(table, [str(one.truth["group"]) for one in drawn], tested)
    families = _learned(table, [class_of(one.truth["family"], notes) for one in drawn], tested)
    print(f"{len(drawn)} implants, {asked.level}, {tested.sum()} of them tested; true values\n")
    _show([one for one, out in zip(drawn, tested, strict=True) if out], groups, families, notes)


def draw(each: int, level: str) -> list[Drawn]:
    """So many implants of every family, by its note."""
    drawn = []
    for family in (key for key in FAMILIES if key not in LEFT_OUT):
        facts = plain_facts(family)
        seeds = range(FIRST_SEED, FIRST_SEED + each)
        drawn.extend(Drawn(describe(family, seed, level, facts)) for seed in seeds)
        print(f"\r{family:40}", end="", file=sys.stderr, flush=True)
    print(file=sys.stderr)
    return drawn


def table_of(drawn: Sequence[Drawn]) -> np.ndarray:
    """One row an implant: sizes (NaN where there is none to see), forms, findings that show."""
    shown = {key: sorted({str(_looks(one)[key]) for one in drawn}) for key in _looks(drawn[0])}
    return np.array([_row(one, shown) for one in drawn], dtype=float)


def _looks(one: Drawn) -> dict[str, Any]:
    """Forms, and what is seated; of the material a film shows what `dense` says, no more."""
    return one.truth["forms"] | {"seated": one.truth["seated"]}


def _row(one: Drawn, shown: Mapping[str, Sequence[str]]) -> list[float]:
    truth = one.truth
    sizes = [_seen(key, one) for key in truth["measures"] if key not in NOT_READ]
    looks = _looks(one)
    forms = [float(str(looks[key]) == s) for key, states in shown.items() for s in states]
    findings = [float(found["detectable"]) for found in truth["findings"].values()]
    return [*sizes, *forms, *findings]


def _seen(key: str, one: Drawn) -> float:
    value = one.truth["measures"][key]
    hidden = key.startswith("bore") and not one.truth["findings"]["bore"]["detectable"]
    if value is None or hidden or (one.covered and key in HIDDEN):
        return float("nan")
    return float(value)


def _learned(table: np.ndarray, names: Sequence[str], tested: np.ndarray) -> np.ndarray:
    named = np.array(names)
    learner = HistGradientBoostingClassifier(max_iter=60, learning_rate=0.08, random_state=0)
    learner.fit(table[~tested], named[~tested])
    return np.asarray(learner.predict(table[tested]))


def _show(tested: Sequence[Drawn], groups: np.ndarray, families: np.ndarray, notes: Notes) -> None:
    print(f"{'top':8} {'n':>5} {'group right':>28} {'family first':>28}")
    rows = list(zip(tested, groups, families, strict=True))
    for state, covered in STATES.items():
        some = [row for row in rows if row[0].covered in covered]
        group = [said == one.truth["group"] for one, said, _ in some]
        first = [
            said in right_classes(one.truth["family"], notes, covered=one.covered)
            for one, _, said in some
        ]
        print(f"{state:8} {len(some):5d} {_share(group):>28} {_share(first):>28}")


def arguments(description: str | None, *, each: int) -> argparse.Namespace:
    """What a study of drawn implants may be asked."""
    parser = argparse.ArgumentParser(description=description)
    parser.add_argument("--each", type=int, default=each, help="implants of every family")
    parser.add_argument("--level", default="clinical", choices=("clean", "clinical", "hard"))
    return parser.parse_args()


if __name__ == "__main__":
    main()
