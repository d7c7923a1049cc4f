"""Seconds of one core: reading an implant, drawing a film, a look. Prints a table.

    OMP_NUM_THREADS=1 python tests/benchmarks/speed.py [FAMILY ...]

Computing time, not the clock's; on a machine whose cores are shared it still counts up to double.
"""

from __future__ import annotations

import resource
import sys
import time
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import numpy as np
from numpy.typing import NDArray

from features.film import read_film_file
from features.implant import read_implant
from features.marks import check_marks, load_marks
from features.reading import read_film
from sample_images.demo_films import FOLDER
from sample_images.look import look
from sample_images.simulate import simulate

DEFAULT = ("external_hex_parallel", "hollow_basket", "bone_level_cone", "blade_plate")
FINE = ("external_hex_parallel", "bone_level_cone", "pressfit_cylinder_indexed")  # 0.016 mm a px


def spent(work: Callable[[], Any], times: int = 3) -> float:
    """Least of a few runs."""
    runs = []
    for _ in range(times):
        start = time.process_time()
        work()
        runs.append(time.process_time() - start)
    return min(runs)


def fine(family: str) -> tuple[NDArray[np.float32], Any]:
    """Pixels, 0 to 1, and marks of a film as large as the largest sensors give."""
    drawn = simulate(family, 1, rows=1600)
    return np.asarray(drawn.pixels, np.float32) / np.iinfo(drawn.pixels.dtype).max, drawn.marks


def main() -> None:
    print(f"{'what':52} {'s of one core':>14}")
    for path in sorted(FOLDER.glob("*.png")):
        film = read_film_file(path)
        marks = load_marks(path.with_suffix(".marks.json"), width=film.width, height=film.height)
        show(f"read {path.stem}", spent(lambda f=film, m=marks: read_film(f, m)))
    with ProcessPoolExecutor(1) as elsewhere:  # drawing takes more memory than reading
        drawn = list(elsewhere.map(fine, FINE))
    for family, (pixels, marks) in zip(FINE, drawn, strict=True):
        height, width = pixels.shape
        mark = check_marks(marks, width=width, height=height).implants[0]
        seconds = spent(lambda px=pixels, m=mark: read_implant(px, m), 5)
        show(f"read_implant {family}, {height} × {width}", seconds)
    peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024  # KiB on Linux
    print(f"{'most memory until here, MB':52} {peak_mb:14.0f}")
    for family in sys.argv[1:] or DEFAULT:
        show(f"draw {family}, 1000 × 750", spent(lambda key=family: simulate(key, 1), 2))
        show(f"look {family}, 400 × 300", spent(lambda key=family: look(key), 2))


def show(what: str, seconds: float) -> None:
    print(f"{what:52} {seconds:14.2f}")


if __name__ == "__main__":
    main()
