"""A plan as HTML: one line a way, with the verdict and what decides it; the rest folded in it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from features.quantity import Measured, Quantity
from identify.insertion import Insertion
from identify.plan import SEVERITY, PlannedOption
from identify.plan_words import (
    MAKINGS,
    RETENTIONS,
    VERDICTS,
    collar_text,
    height_text,
    lean_texts,
    part_text,
)
from identify.ranking import NOT_CONFIRMED
from identify.screens.look import escape
from identify.vertical_space import DATUMS, Layer, Stacked

NO_SUCH_WAY = "no such way"

Rivals = dict[Any, PlannedOption]


def ways_html(options: Sequence[PlannedOption], rivals: Rivals | None, rival_title: str) -> str:
    """Every way as one line that unfolds; `rivals` by way, None where nothing is compared."""
    ordered = sorted(options, key=lambda option: SEVERITY[option.verdict])
    blocks = (_way(alike, rivals, rival_title) for alike in grouped(ordered, rivals))
    return f'<div class="rf-ways">{"".join(blocks)}</div>'


def grouped(
    options: Sequence[PlannedOption], rivals: Rivals | None = None
) -> list[list[PlannedOption]]:
    """Put ways together that share retention, verdict and reasons: one line says it for all."""
    groups: dict[Any, list[PlannedOption]] = {}
    for option in options:
        theirs = rivals.get(option.way) if rivals is not None else None
        key = (option.retention, option.verdict, option.reasons, theirs and theirs.verdict)
        groups.setdefault(key, []).append(option)
    return list(groups.values())


def _way(alike: list[PlannedOption], rivals: Rivals | None, rival_title: str) -> str:
    first = alike[0]
    made = escape(" · ".join(MAKINGS[option.making] for option in alike))
    body = _list("Why", (_reason(r.text, r.standing, r.source) for r in first.reasons))
    body += _list("What would change it", map(escape, first.changes))
    body += "".join(_by_hand(same) for same in _same_work(alike))
    return (
        f'<details class="rf-way"><summary>{_chip(first.verdict)}'
        f'<span class="rf-name"><b>{RETENTIONS[first.retention]}</b> <span>{made}</span></span>'
        f"{_rival_chip(first, rivals, rival_title)}"
        f'<span class="rf-why">{escape(first.deciding.text)}</span></summary>'
        f'<div class="rf-fold">{body}</div></details>'
    )


def _chip(verdict: str) -> str:
    return f'<span class="rf-chip {verdict}">{VERDICTS[verdict]}</span>'


def _rival_chip(option: PlannedOption, rivals: Rivals | None, title: str) -> str:
    if rivals is None:
        return ""
    theirs = rivals.get(option.way)
    verdict = theirs.verdict if theirs else "cannot_judge"
    word = VERDICTS[theirs.verdict] if theirs else NO_SUCH_WAY
    chip = f'<span class="rf-chip {verdict}">{word}</span>'
    return f'<span class="rf-rival">if {escape(title)}: {chip}</span>'


def _reason(text: str, standing: str, source: str | None) -> str:
    where = f"{standing}: {source}" if source else standing
    return f"{escape(text)} <small>({escape(where)})</small>"


def _list(title: str, items: Iterable[str], *, start: int | None = None) -> str:
    rows = "".join(f"<li>{item}</li>" for item in items)
    if not rows:
        return ""
    tag, first = ("ul", "") if start is None else ("ol", f' start="{start}"')
    return f"<h5>{escape(title)}</h5><{tag}{first}>{rows}</{tag}>"


# ---- step by step --------------------------------------------------------------------------------


def _same_work(alike: list[PlannedOption]) -> list[list[PlannedOption]]:
    """Put together what is made and ordered in the same way."""
    groups: dict[Any, list[PlannedOption]] = {}
    for option in alike:
        parts = tuple(tuple(sorted(part.items())) for part in option.parts)
        groups.setdefault((option.sequence, parts), []).append(option)
    return list(groups.values())


def _by_hand(same: list[PlannedOption]) -> str:
    option = same[0]
    if not option.sequence:
        return ""
    names = escape(", ".join(MAKINGS[one.making] for one in same))
    head = f"<summary>Step by step: {names}</summary>"
    return f'<details class="rf-steps">{head}{sheet(option)}</details>'


def sheet(option: PlannedOption) -> str:
    """Everything that is to be done for one way: steps, path, height, parts, cautions."""
    stamp = f'<p class="rf-stamp">{escape(option.ordering)}</p>' if option.ordering else ""
    parts = _list("Parts to find", (escape(part_text(part)) for part in option.parts))
    return (
        _list("Steps", map(escape, option.sequence), start=0)
        + _path(option.insertion)
        + _stack(option.stack)
        + _list("Margin and collar", (escape(collar_text(c)) for c in option.collars))
        + (stamp + parts if parts else stamp)
        + _list("Cautions", (escape(text) for text in option.cautions if text != NOT_CONFIRMED))
    )


def _path(path: Insertion | None) -> str:
    return _list("The best common path of insertion", map(escape, lean_texts(path)))


def _stack(stack: Stacked | None) -> str:
    if stack is None:
        return ""
    rows = [_layer(layer) for layer in stack.layers]
    rows.append(f"<b>together</b>: {_height(stack.needed_mm)}")
    if isinstance(stack.left_mm, Measured):
        rows.append(f"<b>left of the space there is</b>: {_height(stack.left_mm)}")
    return _list(f"Height, from {DATUMS[stack.datum]} up", rows)


def _layer(layer: Layer) -> str:
    where = f"<small>({escape(layer.where_from)})</small>"
    return f"{escape(layer.name)}: {_height(layer.height_mm)} {where}"


def _height(height: Quantity) -> str:
    return escape(height_text(height))
