"""How well each measure is read: bias, spread and coverage on simulated films. Prints a table.

Usage: python tests/benchmarks/measuring.py [FILMS_PER_FAMILY] [LEVEL ...]

Deviations are taken at the film's true scale, so they show the measuring alone; the scale has a
row of its own. "95 %" is how often the local 95 % interval held the truth.
"""

from __future__ import annotations

import platform
import sys
import time
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import numpy as np

from features.marks import check_marks
from features.quantity import Measured
from features.radiograph import Radiograph
from features.reading import read_film
from sample_images.simulate import FAMILIES, Simulated, simulate

FIRST_SEED = 5001  # apart from the seeds any constant was set on


def films(per_family: int, levels: list[str]) -> Iterator[Simulated]:
    for level in levels:
        for family in FAMILIES:
            for seed in range(FIRST_SEED, FIRST_SEED + per_family):
                yield simulate(family, seed, level)


def main() -> None:
    per_family = int(sys.argv[1]) if len(sys.argv) > 1 else 2
    levels = sys.argv[2:] or ["clean", "clinical"]
    rows: dict[str, list[tuple[float, float]]] = defaultdict(list)
    silent: dict[str, int] = defaultdict(int)
    seconds = []
    for film in films(per_family, levels):
        pixels = (film.pixels / 65535).astype(np.float32)
        radiograph = Radiograph(pixels, "0" * 64, 16)
        marks = check_marks(film.marks, width=radiograph.width, height=radiograph.height)
        start = time.perf_counter()
        reading = read_film(radiograph, marks)
        seconds.append(time.perf_counter() - start)
        collect(film, reading, rows, silent)
    show(rows, silent, seconds)


def collect(film, reading, rows, silent) -> None:
    true_scale = film.truth["mm_per_px"]
    scale = reading.scale.mm_per_px
    if not scale:
        silent["scale (relative)"] += 1
        return
    error = scale.value / true_scale - 1
    rows["scale (relative)"].append((error, error / (scale.std / scale.value)))
    for key, value in reading.implants[0].measures.items():
        truth = film.truth["measures"].get(key)
        if truth is None:
            continue
        if not isinstance(value, Measured):
            silent[key] += 1
            continue
        read = value.value * (true_scale / scale.value if key.endswith("_mm") else 1.0)
        rows[key].append((read - truth, (read - truth) / value.std_local))


def show(rows, silent, seconds) -> None:
    print(f"{platform.machine()}, Python {platform.python_version()}, numpy {np.__version__}")
    print(f"{len(seconds)} films, median {np.median(seconds):.2f} s a film\n")
    print(
        f"{'measure':20} {'n':>4} {'silent':>6} {'bias':>8} {'spread':>8} {'worst':>8} {'95 %':>6}"
    )
    for key in sorted(rows):
        deviation, sigma = np.array(rows[key]).T
        spread = 1.4826 * np.median(np.abs(deviation - np.median(deviation)))
        covered = np.mean(np.abs(sigma) < 1.96)
        print(
            f"{key:20} {len(deviation):4d} {silent[key]:6d} {np.median(deviation):+8.4f} "
            f"{spread:8.4f} {np.abs(deviation).max():8.3f} {covered:6.0%}"
        )


if __name__ == "__main__":
    main()
