"""How well each number is read, on simulated films whose seeds no constant was set on.

    python tests/benchmarks/accuracy.py --n 300 --level clinical [--scale ball] [--seated on|off]

Prints, measure by measure: how often there was a number, bias, root mean square error, median
error, the error against the stated uncertainty, how often the 95 % interval held the truth, and
beside it what plain scikit-image calls read. Films are drawn once and kept (``--films``); a run
that was broken off goes on where it stopped.
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import sys
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import numpy as np
import platformdirs

from tests.benchmarks import table
from tests.benchmarks.simulated import orders, read_order

FIRST_SEED = 70001


def main() -> None:
    asked = _arguments()
    folder = Path(asked.films) / f"{asked.level}-{asked.scale}"
    folder.mkdir(parents=True, exist_ok=True)
    wanted = orders(asked.n, asked.first_seed, asked.level, asked.scale)
    rows = read_all(wanted, folder, asked.workers)
    if asked.seated != "any":
        covered = asked.seated == "on"
        rows = [row for row in rows if (row["seated"] != "nothing") == covered]
    if asked.rows:
        Path(asked.rows).write_text(json.dumps(rows), encoding="utf-8")
    print(f"{platform.machine()}, Python {platform.python_version()}, numpy {np.__version__}")
    print(f"{len(rows)} films, level {asked.level}, scale {asked.scale}, seeds {asked.first_seed}+")
    print(f"median {np.median([row['seconds'] for row in rows]):.2f} s of one core a film\n")
    table.show_measures(rows)
    table.show_detections(rows)


def read_all(wanted: list[Any], folder: Path, workers: int) -> list[dict[str, Any]]:
    rows = []
    with ProcessPoolExecutor(max_workers=workers) as pool:
        for done, row in enumerate(pool.map(partial(read_order, folder=folder), wanted), 1):
            rows.append(row)
            print(f"\r{done}/{len(wanted)}", end="", file=sys.stderr, flush=True)
    print(file=sys.stderr)
    return rows


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--n", type=int, default=300)
    parser.add_argument("--level", default="clinical", choices=("clean", "clinical", "hard"))
    parser.add_argument("--scale", default="ball", choices=("ball", "line", "pixel", "none"))
    parser.add_argument("--seated", default="any", choices=("any", "on", "off"))
    parser.add_argument("--first-seed", type=int, default=FIRST_SEED)
    parser.add_argument("--workers", type=int, default=os.cpu_count() or 1)
    parser.add_argument("--films", default=platformdirs.user_cache_dir("radiofixture-films"))
    parser.add_argument("--rows", help="also write every film's numbers here, as JSON")
    return parser.parse_args()


if __name__ == "__main__":
    main()
