"""What one film gives and what a person answered, put together as evidence on one implant."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING

from features.implant import ImplantReading
from features.input_file import BadInput
from features.quantity import Measured, Quantity
from identify.evidence import (
    UNDECIDED,
    Evidence,
    FilmScale,
    Item,
    SetAside,
    check_evidence,
    find_item,
)

if TYPE_CHECKING:
    from features.finding import Finding, Form
    from features.reading import Reading
    from identify.checklist import Checklist

# Whose answer is weighed where two differ: the thing in the hand, then in the mouth, then paper,
# then the eye on the film. Common practice.
WEIGHED_FIRST = ("bench", "mouth", "known", "eye", "film")
TILT = "tilt"  # the name of its share in an uncertainty


def gather(
    reading: Reading, label: str, answers: Mapping[str, Item], checklist: Checklist
) -> Evidence:
    """Put together what the film gives and what a person answered for one implant.

    A person's answer wins over the film's for the same item; both are kept. What set the scale,
    what could not be measured or assessed, and "can't tell" are set aside with their reasons.

    Raises
    ------
    BadInput
        No implant carries this label, or an answer does not fit the checklist.
    """
    implant = _find_implant(reading, label)
    items, aside = _film_items(implant, checklist)
    _set_aside_what_set_the_scale(reading, label, items, aside)
    film = Evidence(label=label, scale=_scale(reading, implant), items=items, set_aside=aside)
    return _with_answers(film, answers, checklist)


def gather_answers(label: str, answers: Mapping[str, Item], checklist: Checklist) -> Evidence:
    """Put together what a person answered of an implant that no film shows.

    Raises
    ------
    BadInput
        An answer does not fit the checklist.
    """
    return _with_answers(Evidence(label=label), answers, checklist)


def unread(label: str, tooth: str = "") -> ImplantReading:
    """Return an implant of which nothing was read: no film shows it."""
    return ImplantReading(label, tooth or None, measures={}, forms={}, findings={})


def _with_answers(film: Evidence, answers: Mapping[str, Item], checklist: Checklist) -> Evidence:
    items, aside = dict(film.items), dict(film.set_aside)
    for key, answer in answers.items():
        _take_answer(key, answer, items, aside)
    evidence = film.model_copy(update={"items": items, "set_aside": aside})
    check_evidence(evidence, checklist, f"implant {film.label}")
    return evidence


def merge_answers(first: Mapping[str, Item], second: Mapping[str, Item]) -> dict[str, Item]:
    """Put two people's answers together; where they differ the one not weighed is kept beside."""
    merged = dict(first)
    for key, item in second.items():
        if key not in merged or not merged[key].decided:
            merged[key] = item
        elif item.decided and (item.state, item.value) != (merged[key].state, merged[key].value):
            kept, other = sorted((merged[key], item), key=lambda one: WEIGHED_FIRST.index(one.by))
            merged[key] = kept.model_copy(update={"also": (*kept.also, other)})
    return merged


def _scale(reading: Reading, implant: ImplantReading) -> FilmScale:
    axial = _tilt_share(implant)
    # a scale that was asked for and could not be had leaves only ratios
    if reading.scale.rel_std is None:
        return FilmScale(axial_rel_std=axial)
    return FilmScale(kind=reading.scale.kind, rel_std=reading.scale.rel_std, axial_rel_std=axial)


def _tilt_share(implant: ImplantReading) -> float:
    """How far the tilt may have changed the length: what it does to one, it does to all."""
    length = implant.measures.get("length_mm") or implant.measures.get("length_px")
    if not isinstance(length, Measured) or length.value <= 0:
        return 0.0
    return dict(length.parts).get(TILT, 0.0) / length.value


def _without_tilt(quantity: Measured) -> float:
    """Return the uncertainty of one length without what all of them share."""
    shared = dict(quantity.parts).get(TILT, 0.0)
    return math.sqrt(max(quantity.std_local**2 - shared**2, 0.0))


def _find_implant(reading: Reading, label: str) -> ImplantReading:
    for implant in reading.implants:
        if implant.label == label:
            return implant
    known = ", ".join(implant.label for implant in reading.implants)
    raise BadInput(f"no implant '{label}' was marked on this film; use one of {known}.")


def _film_items(
    implant: ImplantReading, checklist: Checklist
) -> tuple[dict[str, Item], dict[str, SetAside]]:
    items: dict[str, Item] = {}
    aside: dict[str, SetAside] = {}
    for key, quantity in implant.measures.items():
        entry = find_item(key, checklist)
        if entry:
            _take_quantity(key, quantity, items, aside, along_axis=entry.along_axis)
    states: dict[str, Form | Finding] = {**implant.forms, **implant.findings}
    for key, seen in states.items():
        if find_item(key, checklist):
            _take_state(key, seen, items, aside)
    return items, aside


def _take_quantity(
    key: str,
    quantity: Quantity,
    items: dict[str, Item],
    aside: dict[str, SetAside],
    *,
    along_axis: bool,
) -> None:
    if isinstance(quantity, Measured):
        std = _without_tilt(quantity) if along_axis else quantity.std_local
        items[key] = Item(value=quantity.value, std_local=std, by="film")
    else:
        aside[key] = SetAside(reason=quantity.reason)


def _take_state(
    key: str, seen: Form | Finding, items: dict[str, Item], aside: dict[str, SetAside]
) -> None:
    if seen.state in UNDECIDED:
        aside[key] = SetAside(reason=seen.reason or "not assessable on this film")
    elif seen.probability > 0:
        items[key] = Item(state=seen.state, probability=seen.probability, by="film")


def _set_aside_what_set_the_scale(
    reading: Reading, label: str, items: dict[str, Item], aside: dict[str, SetAside]
) -> None:
    if reading.scale.sets is None or reading.scale.sets[0] != label:
        return
    key = reading.scale.sets[1]
    if key in items:
        aside[key] = SetAside(reason="it set the scale, so it weighs 0", item=items.pop(key))


def _take_answer(
    key: str, answer: Item, items: dict[str, Item], aside: dict[str, SetAside]
) -> None:
    if not answer.decided:
        if key not in items:  # the film's own answer stands where a person cannot tell
            reason = answer.note or "looked at, and it cannot be told"
            aside[key] = SetAside(reason=reason, item=answer)
        return
    if key in items:
        reason = f"the film's own reading; the answer by {answer.by} counts instead"
        aside[key] = SetAside(reason=reason, item=items[key])
    elif key in aside and aside[key].item is None:
        del aside[key]
    items[key] = answer
