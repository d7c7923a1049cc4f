"""How far the film's own readings are to be trusted: the `reader` tables of the checklist.

    python tests/benchmarks/reader.py --seeds 130001-130300

Counts, on films already drawn whose truth is known, what is read where each state is true, and how
many numbers are more than three of their standard uncertainties off, and how many of the others
keep well within what they state. Never run it on films that
the weighing is judged on.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import numpy as np
import platformdirs

from features.quantity import Measured
from identify.checklist import NOTHING_READ as REST
from identify.checklist import ChecklistItem
from identify.hypotheses import telling_states
from identify.knowledge import Notes, load_notes
from identify.note import StateFact
from tests.benchmarks.readings import Case, is_drawn, read_case
from tests.benchmarks.simulated import orders

ASTRAY = 3.0  # standard uncertainties; a Gaussian would have 0.3 % beyond
NORMAL_BEYOND = 0.003
LEAST = 0.001
PSEUDO = 1.0  # one film more in every cell: nothing is impossible because it was not met

Judged = list[tuple[Case, dict[str, Any]]]


def main() -> None:
    asked = _arguments()
    films = list(_films(asked))
    print(f"# {len(films)} films")
    notes = load_notes()
    for key, entry in notes.checklist.items.items():
        if entry.kind in ("length", "angle"):
            print(_astray(key, films))
        elif entry.kind in ("form", "finding"):
            print(_read_as(key, entry, films, notes))


def _films(asked: argparse.Namespace) -> Iterator[tuple[Case, dict[str, Any]]]:
    folder = Path(asked.films) / "clinical-ball"
    for span in asked.seeds:
        first, last = (int(seed) for seed in span.split("-"))
        for order in orders(last - first + 1, first, "clinical", "ball"):
            if is_drawn(order, folder):
                truth = json.loads((folder / f"{order.stem}.truth.json").read_text("utf-8"))
                yield read_case(order, folder, "ball", drawn=True), truth


def _astray(key: str, films: Judged) -> str:
    off = []
    for case, truth in films:
        found, true = case.reading.implants[0].measures.get(key), truth["measures"].get(key)
        if isinstance(found, Measured) and true is not None:
            off.append(abs(found.value - true) / found.std)
    if not off:
        return f"{key}: never read"
    beyond = sum(one > ASTRAY for one in off)
    share = max((beyond + PSEUDO) / (len(off) + 2 * PSEUDO) - NORMAL_BEYOND, 0.005)
    sharp, narrow = _sharpness(np.array([one for one in off if one <= ASTRAY]))
    return f"{key}: astray = {share:.2f}, sharp = {sharp:.2f}, narrow = {narrow:.2f}  # {len(off)}"


def _sharpness(off: np.ndarray) -> tuple[float, float]:
    """Likeliest share of readings that are better than they say, and by how much."""
    grid = [(s, n) for s in np.arange(0.0, 0.951, 0.05) for n in np.arange(0.1, 1.01, 0.05)]

    def log_likelihood(pair: tuple[float, float]) -> float:
        sharp, narrow = pair
        sharply = sharp * np.exp(-0.5 * (off / narrow) ** 2) / narrow
        return float(np.log(sharply + (1 - sharp) * np.exp(-0.5 * off**2)).sum())

    return max(grid, key=log_likelihood)


def _read_as(key: str, entry: ChecklistItem, films: Judged, notes: Notes) -> str:
    states = telling_states(entry)
    read = (*states, REST)
    counts = np.full((len(states), len(read)), PSEUDO / len(read))
    for case, truth in films:
        true, found = _states(key, case, truth)
        hidden = entry.only_covered and not case.covered and found == REST
        if found and not hidden:
            column = read.index(found if found in states else REST)
            counts[:, column] += _rows(true, key, states, case, notes)
    shares = counts / counts.sum(axis=1, keepdims=True)
    for column in range(len(states)):  # what is hardly ever read says nothing, not the contrary
        shares[column, column] = shares[:, column].max()
    shares[:, -1] += 1 - shares.sum(axis=1)
    lines = [f"{key}:"]
    for state, exact in zip(states, shares, strict=True):
        row = np.maximum(exact.round(3), LEAST)  # rounded, but nothing is impossible
        row[row.argmax()] += 1 - row.sum()
        cells = ", ".join(f'"{s}" = {p:.3f}' for s, p in zip(read, row, strict=True))
        lines.append(f'reader.read_as."{state}" = {{ {cells} }}')
    return "\n".join(lines)


def _rows(true: str, key: str, states: tuple[str, ...], case: Case, notes: Notes) -> np.ndarray:
    """Share the film among true states; one that is hidden follows what its note expects."""
    if true in states:
        return np.array([float(true == state) for state in states])
    fact = notes.families[case.family].facts.get(key)
    if not true or true == "None" or not isinstance(fact, StateFact):
        return np.zeros(len(states))
    shares = np.array([fact.probabilities[state] for state in states])
    return np.asarray(shares / shares.sum())


def _states(key: str, case: Case, truth: dict[str, Any]) -> tuple[str, str]:
    implant = case.reading.implants[0]
    if key in implant.findings:
        there = truth["findings"].get(key, {}).get("there")
        word = "" if there is None else ("absent", "present")[there]
        return word, implant.findings[key].state
    form = implant.forms.get(key)
    return str(truth["forms"].get(key)), form.state if form else ""


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", nargs="+", default=["130001-130300"], help="FIRST-LAST")
    parser.add_argument("--films", default=platformdirs.user_cache_dir("radiofixture-films"))
    return parser.parse_args()


if __name__ == "__main__":
    main()
