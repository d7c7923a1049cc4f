"""Tables of the benchmark of identification."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from sklearn.metrics import roc_auc_score

from identify.knowledge import Notes
from tests.benchmarks.judging import Judged, groups_of
from tests.benchmarks.scores import (
    best,
    brier,
    by_class,
    calibration_error,
    class_of,
    counts_as,
    log_score,
)
from tests.benchmarks.table import _share

STATES = {"all": (False, True), "open": (False,), "covered": (True,)}


def show_scores(judged: dict[str, list[Judged]], notes: Notes) -> None:
    """One line for each way of judging and each state of the top."""
    print(
        f"{'':14} {'top':8} {'n':>4} {'group right':>24} {'family first':>24} {'in three':>9} "
        f"{'log':>6} {'Brier':>6} {'ECE':>6} {'group ECE':>9}"
    )
    for state, covered in STATES.items():
        for name, films in {**judged, "uniform": _uniform(judged["ours"], notes)}.items():
            some = [film for film in films if film.case.covered in covered]
            if some:
                print(f"{name:14} {state:8} {len(some):4d} {_line(some, notes)}")


def _uniform(films: Sequence[Judged], notes: Notes) -> list[Judged]:
    flat = dict.fromkeys(notes.families, 1 / len(notes.families))
    groups = groups_of(flat, notes)
    return [
        Judged(film.case, dict.fromkeys(film.chances, 1 / len(film.chances)), groups)
        for film in films
    ]


def _line(films: Sequence[Judged], notes: Notes) -> str:
    classes = [by_class(film.chances, notes) for film in films]
    truths = [class_of(film.case.family, notes) for film in films]
    right = [counts_as(film.case, notes) for film in films]
    first = [best(c, 1)[0] in r for c, r in zip(classes, right, strict=True)]
    three = [bool(r & set(best(c, 3))) for c, r in zip(classes, right, strict=True)]
    group = [max(f.groups, key=lambda g, f=f: f.groups[g]) == f.case.group for f in films]
    said = [max(c.values()) for c in classes]
    exactly = [best(c, 1)[0] == t for c, t in zip(classes, truths, strict=True)]
    logs = np.mean([log_score(c, t) for c, t in zip(classes, truths, strict=True)])
    briers = np.mean([brier(c, t) for c, t in zip(classes, truths, strict=True)])
    groups = calibration_error([max(f.groups.values()) for f in films], group)
    return (
        f"{_share(group):>24} {_share(first):>24} {np.mean(three):9.3f} {logs:6.3f} {briers:6.3f} "
        f"{calibration_error(said, exactly):6.3f} {groups:9.3f}"
    )


def show_strangers(strangeness: tuple[list[float], list[float]]) -> None:
    """Area under the curve of *none of these*."""
    strange, at_home = strangeness
    area = roc_auc_score([1] * len(strange) + [0] * len(at_home), [*strange, *at_home])
    print(
        f"\nnone of these, family and its look-alikes left out: AUROC {area:.3f}; "
        f"median {np.median(strange):.2f} against {np.median(at_home):.2f}"
    )


def show_families(films: Sequence[Judged], notes: Notes) -> None:
    """Group and family right, and what is said instead, family by family."""
    print(f"\n{'family':32} {'n':>3} {'group':>6} {'first':>6} {'log':>6}  said instead")
    for family in sorted({film.case.family for film in films}):
        some = [film for film in films if film.case.family == family]
        classes = [by_class(film.chances, notes) for film in some]
        right = [
            best(c, 1)[0] in counts_as(f.case, notes) for c, f in zip(classes, some, strict=True)
        ]
        group = [max(f.groups, key=lambda g, f=f: f.groups[g]) == f.case.group for f in some]
        logs = np.mean([log_score(c, class_of(family, notes)) for c in classes])
        wrong = [best(c, 1)[0] for c, ok in zip(classes, right, strict=True) if not ok]
        instead = ", ".join(f"{name} {wrong.count(name)}" for name in sorted(set(wrong)))
        print(
            f"{family:32} {len(some):3d} {np.mean(group):6.2f} {np.mean(right):6.2f} "
            f"{logs:6.2f}  {instead}"
        )


def show_answers(scores: Sequence[tuple[float, float, float]]) -> None:
    """Accuracy against the number of questions answered, in the order they are asked."""
    print("\nanswers  family first  group right  log")
    for number, (first, group, log) in enumerate(scores):
        print(f"{number:7d} {first:13.3f} {group:12.3f} {log:6.3f}")


def show_worst(films: Sequence[Judged], notes: Notes, number: int) -> None:
    """List the films whose truth was given the least chance."""

    def chance(film: Judged) -> float:
        return by_class(film.chances, notes)[class_of(film.case.family, notes)]

    print()
    for film in sorted(films, key=chance)[:number]:
        leaders = best(by_class(film.chances, notes), 2)
        print(f"{film.case.stem:44} {film.case.seated:12} {chance(film):.4f}  {leaders}")
