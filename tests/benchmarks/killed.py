"""Kill the program at a hundred random moments while it edits cases; nothing may be lost.

python tests/benchmarks/killed.py --n 100
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import numpy as np

from tests.identify.killing import check_nothing_lost, edit_and_kill


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--n", type=int, default=100)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    dice = np.random.default_rng(asked.seed)
    steps = cases = 0
    with tempfile.TemporaryDirectory() as folder:
        for turn in range(asked.n):
            said = edit_and_kill(Path(folder), 0.02 + 0.6 * dice.uniform())
            check_nothing_lost(Path(folder), said, turn)
            steps += sum(said.values())
            cases += len(said)
    print(f"{asked.n} kills, {cases} cases, {steps} steps said to be saved: none lost")


if __name__ == "__main__":
    main()
