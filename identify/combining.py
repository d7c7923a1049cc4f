"""Two films of one implant made into one piece of evidence."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from features.input_file import BadInput
from identify.evidence import Evidence, FilmScale, Item, SetAside, entry_of, item_std

if TYPE_CHECKING:
    from identify.knowledge import Notes

DIFFER = "the films differ"
TOO_FAR = 3.0  # combined standard uncertainties apart: one of the two is astray
Numbers = list[tuple[Evidence, Item]]


def combine(films: Sequence[Evidence], notes: Notes) -> Evidence:
    """Put films of one implant together.

    A number read on several is their mean, weighted by its whole uncertainty on each; a finding
    seen alike on both is surer, and where they differ the surer one counts. What differs is set
    aside by name. On films without a scale only what needs none is used, unless none has a scale.

    Raises
    ------
    BadInput
        There is no film.
    """
    if not films:
        raise BadInput("no film was given; give the evidence of at least one.")
    scaled = [film for film in films if film.scale.kind != "none"]
    used = [_without_ratios(film, notes) if scaled else film for film in films]
    items: dict[str, Item] = {}
    aside: dict[str, SetAside] = {}
    for key in sorted({key for film in used for key in film.items}):
        said = [(film, film.items[key]) for film in used if key in film.items]
        items[key] = _one_of(key, said, aside, notes)
    return Evidence(
        label=films[0].label, scale=_scale(scaled or used), items=items, set_aside=aside
    )


def numbers_that_differ(combined: Evidence) -> dict[str, str]:
    """Numbers too far apart for one implant read twice: item, and what each film says."""
    return {
        key: aside.reason
        for key, aside in combined.set_aside.items()
        if aside.reason.startswith(DIFFER) and aside.item and aside.item.value is not None
    }


def _without_ratios(film: Evidence, notes: Notes) -> Evidence:
    if film.scale.kind != "none":
        return film
    kept = {k: item for k, item in film.items.items() if entry_of(k, notes.checklist).ratio != k}
    return film.model_copy(update={"items": kept})


def _scale(films: Sequence[Evidence]) -> FilmScale:
    """Scales that know nothing of each other: the mean of n is as much better."""
    scales = [film.scale for film in films]
    axial = float(np.sqrt(np.mean([scale.axial_rel_std**2 for scale in scales]) / len(scales)))
    if scales[0].kind == "none":
        return FilmScale(axial_rel_std=axial)
    shares = _weights(np.array([scale.rel_std or 0.0 for scale in scales]))
    rel = float(
        np.sqrt(sum((w * (s.rel_std or 0)) ** 2 for w, s in zip(shares, scales, strict=True)))
    )
    return FilmScale(kind=scales[0].kind, rel_std=rel, axial_rel_std=axial)


def _weights(stds: np.ndarray) -> np.ndarray:
    inverse = 1.0 / np.maximum(stds, 1e-6) ** 2
    return np.asarray(inverse / inverse.sum())


def _one_of(key: str, said: Numbers, aside: dict[str, SetAside], notes: Notes) -> Item:
    if len(said) == 1:
        return said[0][1]
    if said[0][1].value is not None:
        return _mean(key, said, aside, notes)
    return _surest(key, [item for _, item in said], aside)


def _mean(key: str, said: Numbers, aside: dict[str, SetAside], notes: Notes) -> Item:
    entry = entry_of(key, notes.checklist)
    values = np.array([item.value for _, item in said], dtype=float)
    local = np.array([item_std(item, entry, ratio=key == entry.ratio) for _, item in said])
    scale = np.array(
        [
            (film.scale.rel_std or 0.0) * abs(value) * item.shares_scale(entry)
            for (film, item), value in zip(said, values, strict=True)
        ]
    )
    whole = np.hypot(local, scale)
    weights = _weights(whole)
    if np.ptp(values) > TOO_FAR * float(np.hypot(*whole[[values.argmin(), values.argmax()]])):
        reason = f"{DIFFER}: {values[0]:.2f} against {values[1]:.2f}; their mean is weighed"
        aside[key] = SetAside(reason=reason, item=said[1][1])
        local = np.maximum(local, np.ptp(values) / 2)
    std = float(np.sqrt(((weights * local) ** 2).sum()))
    return said[0][1].model_copy(update={"value": float(weights @ values), "std_local": std})


def _surest(key: str, items: list[Item], aside: dict[str, SetAside]) -> Item:
    ranked = sorted(items, key=lambda item: (-item.probability, str(item.state)))
    best, other = ranked[0], ranked[1]
    if best.state == other.state:
        wrong = (1 - best.probability) * (1 - other.probability)
        return best.model_copy(update={"probability": 1 - wrong})
    reason = f"{DIFFER}: {best.state} and {other.state}; the surer one is weighed"
    aside[key] = SetAside(reason=reason, item=other)
    return best
