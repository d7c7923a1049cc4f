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
from bisect import bisect_right
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
LEAST = 0.0003
SURE_FROM = (0.7, 0.9)  # doubtful, fair, sure: by the probability that the reading states
POOLED = 15.0  # films of all true states, added to those of one: few of it tell little
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
    counts = np.zeros((len(states), len(states), len(SURE_FROM) + 1))
    silent = np.zeros(len(states))
    for case, truth in films:
        true, found, sure = _states(key, case, truth)
        rows = _rows(true, key, states, case, notes)
        if found in states:
            counts[:, states.index(found), bisect_right(SURE_FROM, sure)] += rows
        elif found and not (entry.only_covered and not case.covered):
            silent += rows
    lines = [f"{key}:", f"reader.sure_from = {list(SURE_FROM)}"]
    for state, exact in zip(states, _shares(counts, silent), strict=True):
        row = np.maximum(exact.round(4), LEAST)  # rounded, but nothing is impossible
        row[row.argmax()] += 1 - row.sum()
        cells = np.split(row, range(counts.shape[2], row.size, counts.shape[2]))
        read = [
            f'"{name}" = [{_printed(c)}]' for name, c in zip((*states, REST), cells, strict=True)
        ]
        lines.append(f'reader.read_as."{state}" = {{ {", ".join(read)} }}')
    return "\n".join(lines)


def _printed(shares: np.ndarray) -> str:
    return ", ".join(f"{share:.4f}" for share in shares)


def _shares(counts: np.ndarray, silent: np.ndarray) -> np.ndarray:
    """Share of each reading, by how sure it is, and last of none; where each state is true.

    Parameters
    ----------
    counts : (S, S, B) array
        Films by true state, state read and how sure that reading is.
    silent : (S,) array
        Films of each true state on which nothing was read.

    Returns
    -------
    (S, S·B + 1) array
    """
    by_state = np.column_stack([counts.sum(axis=2), silent]) + PSEUDO / (len(silent) + 1)
    by_state /= by_state.sum(axis=1, keepdims=True)
    for column in range(len(silent)):  # what is hardly ever read says nothing, not the contrary
        by_state[column, column] = by_state[:, column].max()
    by_state[:, -1] += 1 - by_state.sum(axis=1)
    # A wrong reading is too rare to tell how sure it is: till then as sure as all of that state.
    pooled = counts.sum(axis=0) + PSEUDO / counts.shape[2]
    bands = counts + POOLED * pooled / pooled.sum(axis=1, keepdims=True)
    bands /= bands.sum(axis=2, keepdims=True)
    shares = by_state[:, :-1, None] * bands
    return np.column_stack([shares.reshape(len(silent), -1), by_state[:, -1]])


def _rows(true: str, key: str, states: tuple[str, ...], case: Case, notes: Notes) -> np.ndarray:
    """Share the film among true states; one that is hidden follows what its note expects."""
    if true in states:
        return np.array([float(true == state) for state in states])
    fact = notes.families[case.family].facts.get(key)
    if not true or true == "None" or not isinstance(fact, StateFact):
        return np.zeros(len(states))
    shares = np.array([fact.probabilities[state] for state in states])
    return np.asarray(shares / shares.sum())


def _states(key: str, case: Case, truth: dict[str, Any]) -> tuple[str, str, float]:
    """Return the true state, the one read, and how sure the reading says it is."""
    implant = case.reading.implants[0]
    if key in implant.findings:
        there = truth["findings"].get(key, {}).get("there")
        word = "" if there is None else ("absent", "present")[there]
        return word, implant.findings[key].state, implant.findings[key].probability
    form = implant.forms.get(key)
    read, sure = (form.state, form.probability) if form else ("", 0.0)
    return str(truth["forms"].get(key)), read, sure


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", nargs="+", default=["130001-130300"], help="FIRST-LAST")
    parser.add_argument("--films", default=platformdirs.user_cache_dir("radiofixture-films"))
    return parser.parse_args()


if __name__ == "__main__":
    main()
