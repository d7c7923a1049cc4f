"""`radiofixture simulate`: which films to draw, and where to."""

from __future__ import annotations

import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

from features.input_file import BadInput

if TYPE_CHECKING:
    from sample_images.film_set import Order


@dataclass(frozen=True, slots=True)
class FilmOrder:
    """What the command line asks for.

    `family` is a key, "strangers" or "no_implant" for all kinds of these in turn, or None for all
    families in turn.
    """

    family: str | None
    seed: int
    level: str
    number: int
    kind: str = "png16"
    scale: str = "ball"
    stress: bool = False


def draw_films(
    wanted: FilmOrder, out: Path, *, progress: bool
) -> tuple[list[str], list[dict[str, str]]]:
    """Draw films into a folder; those there already, whole and the same, are left alone.

    Parameters
    ----------
    progress : bool
        Whether to show a bar on standard error.

    Returns
    -------
    films : list of stems
    failed : list of {film, reason}
        Films that could not be drawn; only where several were asked for.

    Raises
    ------
    BadInput
        Unknown family, level, kind or scale, or a folder that cannot be written.
    """
    orders = _orders(wanted)
    films, failed = [], []
    hidden = not progress or len(orders) == 1 or not sys.stderr.isatty()
    try:
        out.mkdir(parents=True, exist_ok=True)
        with typer.progressbar(orders, label="films", hidden=hidden, file=sys.stderr) as bar:
            for order in bar:
                fault = _draw(order, out)
                if fault is None:
                    films.append(order.stem)
                else:
                    failed.append({"film": order.stem, "reason": fault})
    except OSError as error:
        raise BadInput(
            f"{out}: cannot be written ({error.strerror}); name a folder of your own."
        ) from None
    if failed and len(orders) == 1:
        raise BadInput(failed[0]["reason"])
    return films, failed


def _draw(order: Order, out: Path) -> str | None:
    from sample_images.film_set import make  # noqa: PLC0415 - slow to import

    try:
        make(order, out)
    except ValueError as error:
        return str(error)
    return None


def _orders(wanted: FilmOrder) -> Sequence[Order]:
    from sample_images.film_files import KINDS  # noqa: PLC0415 - slow to import
    from sample_images.film_set import list_orders  # noqa: PLC0415 - the same
    from sample_images.imaging import LEVELS  # noqa: PLC0415 - the same
    from sample_images.scene import SCALES, Wanted  # noqa: PLC0415 - the same

    keys = _keys(wanted.family)
    _choose("--level", wanted.level, LEVELS)
    _choose("--as", wanted.kind, KINDS)
    _choose("--scale", wanted.scale, SCALES)
    return list_orders(
        keys,
        wanted.seed,
        wanted.number,
        plain_facts,
        level=wanted.level,
        kind=wanted.kind,
        wanted=Wanted(scale=wanted.scale, stress=wanted.stress),
    )


def _keys(family: str | None) -> tuple[str, ...]:
    from sample_images.scene import FAMILIES, KEYS, NO_IMPLANT, STRANGERS  # noqa: PLC0415 - slow

    turns = {"strangers": STRANGERS, "no_implant": NO_IMPLANT}
    if family is None:
        return FAMILIES
    _choose("--family", family, (*KEYS, *turns))
    return turns.get(family, (family,))


def plain_facts(key: str) -> dict[str, Mapping[str, Any]] | None:
    """Facts of a family's note as plain tables; None for what no note describes."""
    from identify.knowledge import load_notes  # noqa: PLC0415 - slow to import
    from identify.note import NumberFact  # noqa: PLC0415 - the same

    note = load_notes().families.get(key)
    if note is None:
        return None
    return {
        name: {"low": fact.low, "high": fact.high, "edge": fact.edge}
        if isinstance(fact, NumberFact)
        else dict(fact.probabilities)
        for name, fact in note.facts.items()
    }


def _choose(option: str, value: str, known: tuple[str, ...]) -> None:
    if value not in known:
        raise BadInput(f"'{option}' cannot be '{value}'; use one of {', '.join(known)}.")
