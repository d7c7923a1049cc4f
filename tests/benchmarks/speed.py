"""Seconds of one core: reading an implant, drawing a film, a look. Prints a table.

    OMP_NUM_THREADS=1 python tests/benchmarks/speed.py [FAMILY ...]

Computing time, not the clock's; on a machine whose cores are shared it still counts up to double.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from features.film import read_film_file
from features.marks import load_marks
from features.reading import read_film
from sample_images.demo_films import FOLDER
from sample_images.look import look
from sample_images.simulate import simulate

DEFAULT = ("external_hex_parallel", "hollow_basket", "bone_level_cone", "blade_plate")


def spent(work: Callable[[], Any], times: int = 3) -> float:
    """Least of a few runs."""
    runs = []
    for _ in range(times):
        start = time.process_time()
        work()
        runs.append(time.process_time() - start)
    return min(runs)


def main() -> None:
    print(f"{'what':52} {'s of one core':>14}")
    for path in sorted(FOLDER.glob("*.png")):
        film = read_film_file(path)
        marks = load_marks(path.with_suffix(".marks.json"), width=film.width, height=film.height)
        show(f"read {path.stem}", spent(lambda f=film, m=marks: read_film(f, m)))
    for family in sys.argv[1:] or DEFAULT:
        show(f"draw {family}, 1000 × 750", spent(lambda key=family: simulate(key, 1), 2))
        show(f"look {family}, 400 × 300", spent(lambda key=family: look(key), 2))


def show(what: str, seconds: float) -> None:
    print(f"{what:52} {seconds:14.2f}")


if __name__ == "__main__":
    main()
