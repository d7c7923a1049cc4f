"""How surely an implant of no known family could be told at best: scores given true values.

    python tests/benchmarks/strangers_at_best.py --each 200

Draws implants by the notes, without films (as `ceiling.py`), keeps a part as what is known, and
asks of every other one how strange it is: once with its own family among what is known, once with
it left out and all that count as one with it. The area under the curve of the two says how far a
score tells strangers from members. The scores are general ones that have never seen a note; the
last is told which family is missing, as nobody ever is, and shows that the values do part the
families. What a score that is not told reaches here is what the families leave room for: where
one's neighbours may look as it does, its going missing cannot be seen.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
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
    forest = RandomForestClassifier(300, min_samples_leaf=2, random_state=0, n_jobs=-1)
    forest.fit(known.rows, known.classes)
    return 1.0 - forest.predict_proba(asked).max(axis=1)


SCORES: Mapping[str, Callable[[Known, np.ndarray], np.ndarray]] = {
    "distance to the nearest": nearest,
    "… where families part": nearest_where_families_part,
    "local outlier factor": sparsely_set,
    "doubt of a forest": no_family_likely,
}


def main() -> None:
    asked = _arguments()
    notes = load_notes()
    drawn = [Drawn(truth) for truth in _truths(asked.each, asked.level)]
    covered = np.array([one.covered for one in drawn])
    known = Known(_rows(drawn), np.array([class_of(one.truth["family"], notes) for one in drawn]))
    gone = [
        frozenset(right_classes(one.truth["family"], notes, covered=one.covered)) for one in drawn
    ]
    tested = np.random.default_rng(0).random(len(drawn)) > KNOWN
    print(
        f"{len(drawn)} implants, {asked.level}, {tested.sum()} of them asked about; true values\n"
    )
    print(f"{'area under the curve':28}" + "".join(f"{state:>10}" for state in STATES))
    for name, score in SCORES.items():
        strange, member = np.zeros(len(drawn)), np.zeros(len(drawn))
        for here in _by_cover(covered):
            some = Known(known.rows[here & ~tested], known.classes[here & ~tested])
            asks = here & tested
            member[asks] = score(some, known.rows[asks])
            for missing in {gone[i] for i in np.flatnonzero(asks)}:
                ask = asks & np.array([one == missing for one in gone])
                strange[ask] = score(some.without(missing), known.rows[ask])
        _show(name, strange, member, tested, covered)
    told = _told_which(known, gone, tested)
    _show("told which is missing", *told, tested, covered)


def _by_cover(covered: np.ndarray) -> Iterator[np.ndarray]:
    """Yield the open and the covered: a film shows which it is."""
    yield ~covered
    yield covered


def _rows(drawn: Sequence[Drawn]) -> np.ndarray:
    filled = SimpleImputer(strategy="median", add_indicator=True, keep_empty_features=True)
    return np.asarray(make_pipeline(filled, StandardScaler()).fit_transform(table_of(drawn)))


def _told_which(
    known: Known, gone: Sequence[frozenset[str]], tested: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Chance of the missing classes by a forest that was taught all; members of the others."""
    forest = RandomForestClassifier(300, min_samples_leaf=2, random_state=0, n_jobs=-1)
    forest.fit(known.rows[~tested], known.classes[~tested])
    chances = forest.predict_proba(known.rows)
    strange = np.array(
        [
            row[np.isin(forest.classes_, list(own))].sum()
            for row, own in zip(chances, gone, strict=True)
        ]
    )
    others = np.random.default_rng(1).permutation(len(gone))
    member = np.array(
        [
            row[np.isin(forest.classes_, list(gone[i] - own))].sum()
            for row, own, i in zip(chances, gone, others, strict=True)
        ]
    )
    return strange, member


def _show(
    name: str, strange: np.ndarray, member: np.ndarray, tested: np.ndarray, covered: np.ndarray
) -> None:
    areas = []
    for kinds in STATES.values():
        some = tested & np.isin(covered, kinds)
        truth = np.repeat([1, 0], some.sum())
        areas.append(roc_auc_score(truth, np.concatenate([strange[some], member[some]])))
    print(f"{name:28}" + "".join(f"{area:10.3f}" for area in areas))


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--each", type=int, default=200, help="implants of every family")
    parser.add_argument("--level", default="clinical", choices=("clean", "clinical", "hard"))
    return parser.parse_args()


if __name__ == "__main__":
    main()
