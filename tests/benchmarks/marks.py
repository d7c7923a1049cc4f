"""What marks that are off do to every number, on simulated films: do the stated stds hold that?

    python tests/benchmarks/marks.py [--n 40] [--draws 8] [--off-px 4]

Every film is read again and again with its true marks moved, each coordinate by a normal error
(Monte Carlo over the marks, JCGM 101). Prints, measure by measure: the spread that moved marks
alone bring (root mean square over films, and the tenth worst film), the stated std, what is
left when a reading says that it cannot tell on some draws and can on others, and how often the
95 % interval held the truth. Lengths are in px of the film, so the scale has no part in it.
"""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import numpy as np
import platformdirs

from features.film import read_film_file
from features.implant import MEASURES, read_implant
from features.marks import load_marks
from features.quantity import Measured
from sample_images.film_set import Order, make
from tests.benchmarks.simulated import orders
from tests.benchmarks.table import visible

FIRST_SEED = 220001


def main() -> None:
    asked = _arguments()
    folder = Path(asked.films) / f"{asked.level}-ball"
    folder.mkdir(parents=True, exist_ok=True)
    films = []
    for done, order in enumerate(orders(asked.n, asked.first_seed, asked.level, "ball"), 1):
        films.append(moved_readings(order, folder, asked.draws, asked.off_px))
        print(f"\r{done}/{asked.n}", end="", file=sys.stderr, flush=True)
    print(file=sys.stderr)
    print(f"{asked.n} films, {asked.draws} draws each, marks off by {asked.off_px} px (k = 1)")
    show(films)


def moved_readings(order: Order, folder: Path, draws: int, off_px: float) -> dict[str, Any]:
    """Readings of one film with its true marks moved, and its truth in px."""
    make(order, folder)
    film = read_film_file(folder / f"{order.stem}.png")
    hand = load_marks(folder / f"{order.stem}.marks.json", width=film.width, height=film.height)
    truth = json.loads((folder / f"{order.stem}.truth.json").read_text(encoding="utf-8"))
    rng = np.random.default_rng(order.seed)
    ends = np.array([*truth["points_px"]["platform"], truth["points_px"]["apex"]])
    readings = []
    for _ in range(draws):
        left, right, apex = (ends + off_px * rng.standard_normal(ends.shape)).tolist()
        moved = {"platform_px": (left, right), "apex_px": apex, "std_px": off_px}
        mark = hand.implants[0].model_copy(update=moved)  # joint and tooth as the hand said
        readings.append(read_implant(film.pixels, mark).measures)
    return {"truth": truth, "seated": truth["seated"], "readings": readings}


def show(films: list[dict[str, Any]]) -> None:
    print(
        f"{'measure':16} {'films':>5} {'spread':>8} {'1 in 10':>8} {'stated':>8} {'ratio':>6} "
        f"{'flips':>6} {'95 %':>5}"
    )
    for key in MEASURES:
        spreads, stated, flips, held = [], [], [], []
        for film in films:
            told = [r[key] for r in film["readings"] if isinstance(r.get(key), Measured)]
            flips.append(0 < len(told) < len(film["readings"]))
            if len(told) < 2:
                continue
            values = [quantity.value for quantity in told]
            stds = [quantity.std_local for quantity in told]
            spreads.append(float(np.std(values, ddof=1)))
            stated.append(float(np.median(stds)))
            true = true_px(film, key)
            if true is not None:
                held += [abs(v - true) < 1.96 * s for v, s in zip(values, stds, strict=True)]
        if not spreads:
            continue
        spread, std = (float(np.sqrt(np.mean(np.square(part)))) for part in (spreads, stated))
        print(
            f"{key:16} {len(spreads):5d} {spread:8.3f} {np.percentile(spreads, 90):8.3f} "
            f"{std:8.3f} {spread / std:6.2f} {np.mean(flips):6.0%} "
            f"{np.mean(held) if held else np.nan:5.0%}"
        )


def true_px(film: dict[str, Any], key: str) -> float | None:
    """The truth in px, or in degrees; None where the film does not show it."""
    named = key if key.endswith("_deg") else f"{key}_mm"
    if not visible(film, named):
        return None
    true = float(film["truth"]["measures"][named])
    return true if key.endswith("_deg") else true / float(film["truth"]["mm_per_px"])


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--n", type=int, default=40)
    parser.add_argument("--draws", type=int, default=8)
    parser.add_argument("--off-px", type=float, default=4.0)
    parser.add_argument("--level", default="clinical", choices=("clean", "clinical", "hard"))
    parser.add_argument("--first-seed", type=int, default=FIRST_SEED)
    parser.add_argument("--films", default=platformdirs.user_cache_dir("radiofixture-films"))
    return parser.parse_args()


if __name__ == "__main__":
    main()
