"""How well families and connections are told on simulated films, from the film alone.

    python tests/benchmarks/identify.py --n 400 --train 400 [--level hard] [--scale none] [--stress]

Prints connection group and family (first, first three), log score, Brier score and calibration
beside a uniform guess, naive Bayes and a random forest trained on other films' readings; whether
an implant of a family left out (with all its inseparable look-alikes) is known for a stranger; and
the same by family. Films are drawn once, read once and kept (``--films``).
"""

from __future__ import annotations

import argparse
import sys
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import platformdirs

from identify.knowledge import load_notes
from tests.benchmarks import identify_tables as tables
from tests.benchmarks.answering import answered
from tests.benchmarks.confusion import draw_confusion
from tests.benchmarks.judging import judge, judge_learners, strangeness
from tests.benchmarks.readings import Case, is_drawn, read_case
from tests.benchmarks.simulated import orders

FIRST_SEED = 110001
TRAIN_SEED = 130001


def main() -> None:
    asked = _arguments()
    notes = load_notes()
    cases = _cases(asked, asked.first_seed, asked.n, stress=asked.stress)
    judged = {"ours": [judge(case, notes) for case in cases]}
    if asked.train:
        train = _cases(asked, asked.train_seed, asked.train, stress=False)
        judged |= judge_learners(train, cases, notes)
    _print_head(asked, cases)
    tables.show_scores(judged, notes)
    if asked.strangers:
        tables.show_strangers(strangeness(cases, notes))
    tables.show_families(judged["ours"], notes)
    if asked.answers:
        tables.show_answers(
            answered(cases, notes, _folder(asked, stress=asked.stress), asked.answers)
        )
    if asked.worst:
        tables.show_worst(judged["ours"], notes, asked.worst)
    if asked.picture:
        draw_confusion(judged["ours"], notes, Path(asked.picture))


def _cases(asked: argparse.Namespace, seed: int, number: int, *, stress: bool) -> list[Case]:
    drawn_with = "ball" if asked.scale == "none" else asked.scale
    folder = _folder(asked, stress=stress)
    folder.mkdir(parents=True, exist_ok=True)
    wanted = orders(number, seed, asked.level, drawn_with, stress=stress)
    if asked.drawn:
        wanted = [order for order in wanted if is_drawn(order, folder)]
    read = partial(read_case, folder=folder, scale=asked.scale, drawn=asked.drawn)
    cases = []
    with ProcessPoolExecutor(max_workers=asked.workers) as pool:
        for done, case in enumerate(pool.map(read, wanted), 1):
            cases.append(case)
            print(f"\r{done}/{len(wanted)}", end="", file=sys.stderr, flush=True)
    print(file=sys.stderr)
    return cases


def _folder(asked: argparse.Namespace, *, stress: bool) -> Path:
    drawn_with = "ball" if asked.scale == "none" else asked.scale
    return Path(asked.films) / f"{asked.level}-{drawn_with}{'-stress' * stress}"


def _print_head(asked: argparse.Namespace, cases: list[Case]) -> None:
    covered = sum(case.covered for case in cases) / len(cases)
    drawn = "shifted and widened" if asked.stress else "from the notes"
    print(f"{len(cases)} films, level {asked.level}, scale {asked.scale}, ranges {drawn}, ")
    print(f"seeds {asked.first_seed}+; something seated on {covered:.0%}\n")


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--n", type=int, default=400)
    parser.add_argument("--train", type=int, default=0, help="films to train the learners on")
    parser.add_argument("--level", default="clinical", choices=("clean", "clinical", "hard"))
    parser.add_argument("--scale", default="ball", choices=("ball", "line", "pixel", "none"))
    parser.add_argument("--stress", action="store_true", help="ranges shifted and widened")
    parser.add_argument("--strangers", action="store_true", help="leave each family out in turn")
    parser.add_argument("--first-seed", type=int, default=FIRST_SEED)
    parser.add_argument("--train-seed", type=int, default=TRAIN_SEED)
    parser.add_argument("--workers", type=int, default=1)
    parser.add_argument("--films", default=platformdirs.user_cache_dir("radiofixture-films"))
    parser.add_argument(
        "--drawn", action="store_true", help="only films already there, as they are"
    )
    parser.add_argument("--answers", type=int, default=0, help="also after this many answers")
    parser.add_argument("--worst", type=int, default=0, help="list the worst films")
    parser.add_argument("--picture", help="write the confusion picture here (PNG)")
    return parser.parse_args()


if __name__ == "__main__":
    main()
