"""Films for the benchmarks: what to draw, and one film drawn, read and held against its truth."""

from __future__ import annotations

import json
import time
from pathlib import Path
from typing import Any

import numpy as np

from features.film import read_film_file
from features.marks import check_marks
from features.quantity import Measured
from features.reading import read_film
from identify.cli_simulate import plain_facts
from sample_images.film_set import Order, list_orders, make
from sample_images.scene import FAMILIES, Wanted
from tests.benchmarks.plain_reader import read_plainly

LEFT_OUT = ("beyond_root_form", "blade_plate")  # recognised, not measured


def orders(
    number: int, first_seed: int, level: str, scale: str, *, stress: bool = False
) -> list[Order]:
    """Families in turn, dimensions drawn from the notes; `stress` shifts and widens them."""
    keys = [family for family in FAMILIES if family not in LEFT_OUT]
    wanted = Wanted(scale=scale, stress=stress)
    return list(list_orders(keys, first_seed, number, plain_facts, level=level, wanted=wanted))


def read_order(order: Order, folder: Path) -> dict[str, Any]:
    """Draw a film unless it is there, read it, and keep what is needed to judge it."""
    make(order, folder)
    film = read_film_file(folder / f"{order.stem}.png")
    truth = json.loads((folder / f"{order.stem}.truth.json").read_text(encoding="utf-8"))
    marks = json.loads((folder / f"{order.stem}.marks.json").read_text(encoding="utf-8"))
    checked = check_marks(marks, width=film.width, height=film.height)
    start = time.process_time()
    reading = read_film(film, checked)
    seconds = time.process_time() - start
    implant = reading.implants[0]
    return {
        "stem": order.stem,
        "family": order.key,
        "seconds": seconds,
        "seated": truth["seated"],
        "truth": truth,
        "measures": {key: _pair(value) for key, value in implant.measures.items()},
        "forms": {key: form.state for key, form in implant.forms.items()},
        "findings": {key: finding.state for key, finding in implant.findings.items()},
        "plain": read_plainly(np.asarray(film.pixels), marks),
        "scale": _pair(reading.scale.mm_per_px),
    }


def _pair(quantity: Any) -> list[float] | str:
    """Value, std, local std; or why there is none."""
    if isinstance(quantity, Measured):
        return [quantity.value, quantity.std, quantity.std_local]
    return str(quantity.reason)
