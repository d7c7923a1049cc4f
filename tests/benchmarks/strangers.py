"""How far general scores tell an implant of no known family, from true values.

    python tests/benchmarks/strangers.py --each 200

Draws implants by the notes, without films (as `ceiling.py`), and keeps a part of them as what is
known. Each family in turn is then left out of what is known, with all that count as one with it,
and every other implant is asked how strange it is: those of the missing family are strangers, the
rest members. The area under the curve says how far a score parts the two. The scores are general
ones that have seen no note; the last is told which family is missing, as nobody ever is, and shows
that the values do part the families. Open and covered implants are asked apart, as a film shows
which they are.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import numpy as np
from sklearn.discriminant_analysis import LinearDiscriminantAnalysis
from sklearn.ensemble import RandomForestClassifier
from sklearn.impute import SimpleImputer
from sklearn.metrics import roc_auc_score
from sklearn.neighbors import LocalOutlierFactor, NearestNeighbors
from sklearn.pipeline import make_pipeline
from sklearn.preprocessing import StandardScaler

from identify.knowledge import load_notes
from tests.benchmarks.ceiling import STATES, Drawn, _truths, table_of
from tests.benchmarks.scores import class_of, right_classes

KNOWN = 0.7  # of the implants; the others are asked about
NEIGHBOURS = 20  # of the local outlier factor, its usual number


@dataclass(frozen=True, slots=True)
class Known:
    """What is known: one row and the class of every implant."""

    rows: np.ndarray
    classes: np.ndarray

    def without(self, gone: frozenset[str]) -> Known:
        """Leave classes out."""
        kept = ~np.isin(self.classes, list(gone))
        return Known(self.rows[kept], self.classes[kept])


def nearest(known: Known, asked: np.ndarray) -> np.ndarray:
    """Distance to the nearest known implant."""
    return np.asarray(NearestNeighbors(n_neighbors=1).fit(known.rows).kneighbors(asked)[0][:, 0])


def nearest_where_families_part(known: Known, asked: np.ndarray) -> np.ndarray:
    """Distance to the nearest along the directions that part the known families best."""
    directions = LinearDiscriminantAnalysis(solver="eigen", shrinkage=0.1)
    directions.fit(known.rows, known.classes)
    turned = Known(directions.transform(known.rows), known.classes)
    return nearest(turned, directions.transform(asked))


def sparsely_set(known: Known, asked: np.ndarray) -> np.ndarray:
    """Local outlier factor."""
    judge = LocalOutlierFactor(n_neighbors=NEIGHBOURS, novelty=True).fit(known.rows)
    return -np.asarray(judge.score_samples(asked))


def no_family_likely(known: Known, asked: np.ndarray) -> np.ndarray:
    """Doubt of a forest taught the known families."""
    return 1.0 - _forest().fit(known.rows, known.classes).predict_proba(asked).max(axis=1)


def _forest() -> RandomForestClassifier:
    return RandomForestClassifier(300, min_samples_leaf=2, random_state=0, n_jobs=-1)


Score = Callable[[Known, np.ndarray], np.ndarray]
Pairs = tuple[np.ndarray, np.ndarray]  # what strangers scored, and members
SCORES: Mapping[str, Score] = {
    "distance to the nearest": nearest,
    "… where families part": nearest_where_families_part,
    "local outlier factor": sparsely_set,
    "doubt of a forest": no_family_likely,
}


@dataclass(frozen=True, slots=True, eq=False)
class Asked:
    """All implants, what counts as right for each, and which are asked about."""

    known: Known
    right: Sequence[frozenset[str]]
    tested: np.ndarray
    covered: np.ndarray


def main() -> None:
    asked = _arguments()
    notes = load_notes()
    drawn = [Drawn(truth) for truth in _truths(asked.each, asked.level)]
    families = [one.truth["family"] for one in drawn]
    every = Asked(
        Known(_rows(drawn), np.array([class_of(family, notes) for family in families])),
        [
            frozenset(right_classes(family, notes, covered=one.covered))
            for family, one in zip(families, drawn, strict=True)
        ],
        np.random.default_rng(0).random(len(drawn)) > KNOWN,
        np.array([one.covered for one in drawn]),
    )
    print(f"{len(drawn)} implants, {asked.level}, {every.tested.sum()} asked about; true values\n")
    print(f"{'area under the curve':28}" + "".join(f"{state:>10}" for state in STATES))
    for name, score in SCORES.items():
        _show(name, [_asked(every, score, covered=covered) for covered in (False, True)])
    _show("told which is missing", [_asked(every, None, covered=c) for c in (False, True)])


def _asked(every: Asked, score: Score | None, *, covered: bool) -> Pairs:
    """Ask with one family after the other missing; without a `score`, by who is told which."""
    here, known = every.covered == covered, every.known
    some = Known(known.rows[here & ~every.tested], known.classes[here & ~every.tested])
    asks = np.flatnonzero(here & every.tested)
    strange, member = [], []
    for missing in {every.right[i] for i in asks}:
        own = [i for i in asks if every.right[i] == missing]
        others = [i for i in asks if every.right[i].isdisjoint(missing)]
        rows = known.rows[own + others]
        said = score(some.without(missing), rows) if score else _of_the_missing(some, missing, rows)
        strange.append(said[: len(own)])
        member.append(said[len(own) :])
    return np.concatenate(strange), np.concatenate(member)


def _of_the_missing(known: Known, missing: frozenset[str], asked: np.ndarray) -> np.ndarray:
    """Chance of the missing classes, by a forest that was taught them too."""
    forest = _forest().fit(known.rows, known.classes)
    return forest.predict_proba(asked)[:, np.isin(forest.classes_, list(missing))].sum(axis=1)


def _rows(drawn: Sequence[Drawn]) -> np.ndarray:
    filled = SimpleImputer(strategy="median", add_indicator=True, keep_empty_features=True)
    return np.asarray(make_pipeline(filled, StandardScaler()).fit_transform(table_of(drawn)))


def _show(name: str, both: Sequence[Pairs]) -> None:
    together = (np.concatenate([one[0] for one in both]), np.concatenate([one[1] for one in both]))
    areas = []
    for strange, member in (together, *both):
        truth = np.repeat([1, 0], [len(strange), len(member)])
        areas.append(roc_auc_score(truth, np.concatenate([strange, member])))
    print(f"{name:28}" + "".join(f"{area:10.3f}" for area in areas), flush=True)


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--each", type=int, default=200, help="implants of every family")
    parser.add_argument("--level", default="clinical", choices=("clean", "clinical", "hard"))
    return parser.parse_args()


if __name__ == "__main__":
    main()
