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

import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import numpy as np
from sklearn.discriminant_analysis import LinearDiscriminantAnalysis
from sklearn.metrics import roc_auc_score
from sklearn.neighbors import LocalOutlierFactor, NearestNeighbors
from sklearn.pipeline import Pipeline, make_pipeline
from sklearn.preprocessing import StandardScaler

from identify.knowledge import load_notes
from tests.benchmarks.ceiling import STATES, Drawn, arguments, draw, table_of
from tests.benchmarks.learners import filled, learners
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
    return 1.0 - _forest(known).predict_proba(asked).max(axis=1)


def _forest(known: Known) -> Pipeline:
    return learners()["random forest"].fit(known.rows, known.classes)


Score = Callable[[Known, np.ndarray], np.ndarray]
Pairs = tuple[np.ndarray, np.ndarray]  # of strangers, and of members
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

    def among(self, some: np.ndarray, *, covered: bool) -> Known:
        """The open, or the covered, among `some` of them."""
        here = some & (self.covered == covered)
        return Known(self.known.rows[here], self.known.classes[here])

    def each_missing(self, *, covered: bool) -> Iterator[tuple[frozenset[str], Pairs]]:
        """Each set of classes to leave out; who asked is a stranger then, and who a member."""
        asks = np.flatnonzero(self.tested & (self.covered == covered))
        for missing in {self.right[i] for i in asks}:
            own = np.array([self.right[i] == missing for i in asks])
            others = np.array([self.right[i].isdisjoint(missing) for i in asks])
            yield missing, (asks[own], asks[others])


def main() -> None:
    asked = arguments(__doc__, each=200)
    notes = load_notes()
    drawn = draw(asked.each, asked.level)
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
        _show(name, [_scored(every, score, covered=covered) for covered in (False, True)])
    _show("told which is missing", [_told(every, covered=covered) for covered in (False, True)])


def _scored(every: Asked, score: Score, *, covered: bool) -> Pairs:
    """What strangers and members score, one family after the other missing."""
    known, pairs = every.among(~every.tested, covered=covered), []
    for missing, (own, others) in every.each_missing(covered=covered):
        said = score(known.without(missing), every.known.rows[[*own, *others]])
        pairs.append((said[: len(own)], said[len(own) :]))
    return _joined(pairs)


def _told(every: Asked, *, covered: bool) -> Pairs:
    """Chance of the missing classes, by a forest that was taught them too."""
    forest = _forest(every.among(~every.tested, covered=covered))
    chances, pairs = forest.predict_proba(every.known.rows), []
    for missing, (own, others) in every.each_missing(covered=covered):
        said = chances[:, np.isin(forest.classes_, list(missing))].sum(axis=1)
        pairs.append((said[own], said[others]))
    return _joined(pairs)


def _joined(pairs: Sequence[Pairs]) -> Pairs:
    strange, member = zip(*pairs, strict=True)
    return np.concatenate(strange), np.concatenate(member)


def _rows(drawn: Sequence[Drawn]) -> np.ndarray:
    return np.asarray(make_pipeline(filled(), StandardScaler()).fit_transform(table_of(drawn)))


def _show(name: str, both: Sequence[Pairs]) -> None:
    areas = []
    for strange, member in (_joined(both), *both):
        truth = np.repeat([1, 0], [len(strange), len(member)])
        areas.append(roc_auc_score(truth, np.concatenate([strange, member])))
    print(f"{name:28}" + "".join(f"{area:10.3f}" for area in areas), flush=True)


if __name__ == "__main__":
    main()
