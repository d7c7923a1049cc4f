"""The JSON contracts as tables for people: 80 columns, plain text when piped."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from rich import box
from rich.console import Console
from rich.table import Table

from features.quantity import Measured
from identify.evidence import UNDECIDED
from identify.ranking import NOT_CONFIRMED
from identify.words import GROUPS, item_label, measure_label, measured_text, percent, points_text

SHOWN = 5  # families in the short list
REASONED = 3  # families whose rows are shown
ORDER = ("suits", "with_care", "cannot_judge", "does_not_suit")
UNITS = {"mm": "mm", "px": "px", "deg": "deg"}

Json = Mapping[str, Any]


def show_reading(data: Json) -> None:
    """`reading/1`: each implant with its measures, findings, families and next look."""
    console = _console()
    for note in data["film"].get("notes", []):
        _say(console, f"Film: {note}")
    _say(console, f"Scale: {data['scale'].get('sentence') or data['scale']['kind']}")
    for implant in data["implants"]:
        tooth = f", tooth {implant['tooth']}" if implant.get("tooth") else ""
        _say(console, f"\nImplant {implant['label']}{tooth}")
        _weighed(console, implant)
        _print(console, _measures(implant["measures"]))
        _print(console, _states({**implant["forms"], **implant["findings"]}))
    for pair in data.get("between_implants", []):
        first, second = pair["labels"]
        apart = _quantity("angle_deg", pair["angle_deg"])
        _say(console, f"\nAngle between the axes of {first} and {second} on the film: {apart}")


def show_weighing(data: Json) -> None:
    """`weighing/1`: the families, then every item's points for the first of them."""
    console = _console()
    _weighed(console, data)
    for support in data["ranking"][:REASONED]:
        _say(console, f"\n{support['title']}: {points_text(support['points'])} points")
        table = _table("points", "why")
        for row in sorted(support.get("rows", []), key=lambda row: -abs(row["points"])):
            table.add_row(points_text(row["points"]), row["sentence"])
        _print(console, table)
    for silent in data["not_weighed"]:
        _say(console, f"{silent['label']} weighs 0: {silent['reason']}.".replace("..", "."))


def _weighed(console: Console, data: Json) -> None:
    _say(console, data["verdict"]["sentence"])
    _say(console, NOT_CONFIRMED)
    groups = (f"{GROUPS.get(key, key)} {percent(p)}" for key, p in data["groups"].items())
    _say(console, "Connection: " + "; ".join(groups) + ".")
    _print(console, _families(data))
    if data["not_ranked_apart"]:
        _say(console, "≈ not ranked apart from each other before the platform itself is seen")
    for differ in data["answers_differ"]:
        _say(console, f"Two answers differ. {differ}")
    for look in data["next_look"][:1]:
        _say(console, f"Next look: {look['question']} ({look['gain_bits']:.2f} bits) {look['why']}")


def _families(data: Json) -> Table:
    table = _table("family", "probability", "points", "evidence")
    for support in data["ranking"][:SHOWN]:
        mark = " ≈" if support["family"] in data["not_ranked_apart"] else ""
        points = points_text(support["points"])
        chance = percent(support["probability"])
        table.add_row(support["title"] + mark, chance, points, support["verdict"])
    rest = data["ranking"][SHOWN:]
    if rest:
        chance = percent(sum(support["probability"] for support in rest))
        table.add_row(f"{len(rest)} other families", chance, "", "")
    table.add_row("None of these", percent(data["none_of_these"]), "", "")
    table.add_row("Not an implant", percent(data["not_an_implant"]), "", "")
    return table


def _measures(measures: Json) -> Table:
    table = _table("measure", "value (± 95 %)")
    for key, quantity in measures.items():
        table.add_row(measure_label(key), _quantity(key, quantity))
    return table


def _quantity(key: str, quantity: Json) -> str:
    if "not_measured" in quantity:
        return str(quantity["not_measured"])
    unit = UNITS.get(key.rsplit("_", 1)[-1], "")
    return measured_text(Measured(quantity["value"], quantity["std"], unit))


def _states(states: Json) -> Table:
    table = _table("looked for", "seen", "sure")
    for key, seen in states.items():
        sure = "" if seen["state"] in UNDECIDED else percent(seen["probability"])
        reason = f": {seen['reason']}" if seen.get("reason") else ""
        table.add_row(item_label(key), seen["state"] + reason, sure)
    return table


def show_plan(data: Json) -> None:
    """`plan/1`: what can be built and why, the steps of the best way, every caution once."""
    console = _console()
    if data.get("confirmed") is not True:
        _say(console, NOT_CONFIRMED)
    if data.get("stop"):
        _say(console, f"STOP: {data['stop']}")
    _say(console, f"Divergence: {_quantity('divergence_deg', data['divergence_deg'])}")
    _print(console, _options(data))
    _best_way(console, data["options"])
    for way in data["other_ways"]:
        _say(console, f"Instead: {way['text']}")
    cautions = dict.fromkeys(text for option in data["options"] for text in option["cautions"])
    for caution in cautions:
        if caution != NOT_CONFIRMED:
            _say(console, f"Caution: {caution}")
    for note in data["notes"]:
        _say(console, f"Note: {note}")


def _options(data: Json) -> Table:
    """One line for all ways of making that share a verdict and the reason that decides it."""
    rival = {_way(option): option for option in data.get("rival", {}).get("options", ())}
    makings: dict[tuple[str, ...], list[str]] = {}
    for option in data["options"]:
        words = [_plain(option[key]) for key in ("indication", "retention", "verdict")]
        if rival:
            words.append(_plain(rival.get(_way(option), {}).get("verdict", "no such way")))
        makings.setdefault((*words, option["deciding"]), []).append(_plain(option["making"]))
    rivals = [f"if {data['rival']['family']}"] if rival else []
    table = _table("for", "held by", "made as", "verdict", *rivals, "because")
    for (indication, retention, *rest), made in makings.items():
        table.add_row(indication, retention, ", ".join(made), *rest)
    return table


def _way(option: Json) -> tuple[str, ...]:
    return option["indication"], option["retention"], option["making"]


def _best_way(console: Console, options: Sequence[Json]) -> None:
    """Steps and parts of the first way with the best verdict there is."""
    usable = [option for option in options if option["sequence"]]
    if not usable:
        return
    best = min(usable, key=lambda option: ORDER.index(option["verdict"]))
    _say(console, f"Step by step, {', '.join(_plain(word) for word in _way(best))}:")
    for number, step in enumerate(best["sequence"]):
        _say(console, f"{number}. {step}")
    if best["parts"]:
        parts = "; ".join(f"{part['kind']}: {part['state']}" for part in best["parts"])
        _say(console, f"Parts: {parts}. {best['ordering']}".rstrip())


def _plain(key: str) -> str:
    return key.replace("_", " ")


def show_films(data: Json) -> None:
    """`films/1`: the stems written."""
    for stem in data["films"]:
        _say(_console(), stem)


def show_notes(data: Json) -> None:
    """`notes/1`: the problems, or how many notes are in order."""
    console = _console()
    for problem in data["problems"]:
        _say(console, problem)
    if not data["problems"]:
        _say(console, f"{len(data['families'])} families in order.")


def show_sizes(data: Json) -> None:
    """`sizes/1`: the sentence, then every size on the shelf with its likeliest length."""
    console = _console()
    _say(console, data["sentence"])
    if not data["sizes"]:
        return
    _say(console, NOT_CONFIRMED)
    table = _table("size on the shelf", "platform", "probability", "likeliest length")
    for size in data["sizes"]:
        name, chance = f"{size['system']} {size['size']}", percent(size["probability"])
        length = f"{size['lengths'][0]['length_mm']:g} mm" if size["lengths"] else ""
        table.add_row(name, _mm(size["platform_width_mm"]), chance, length)
    _print(console, table)


def show_parts(data: Json) -> None:
    """`parts/1`: one line a part."""
    table = _table("part", "system", "platform", "height", "angle", "state", "checked")
    for part in data["parts"]:
        platform, height = _mm(part["platform_width_mm"]), _mm(part["height_mm"])
        angle, checked = f"{part['angle_deg']:g}°", part["checked_on"] or ""
        table.add_row(part["kind"], part["system"], platform, height, angle, part["state"], checked)
    console = _console()
    _print(console, table)
    if not data["parts"]:
        _say(console, "No such part is on the shelf.")


def _mm(value: float | None) -> str:
    return "" if value is None else f"{value:g} mm"


def _console() -> Console:
    return Console(highlight=False, markup=False, emoji=False, soft_wrap=False)


def _say(console: Console, text: str) -> None:
    console.print(text)


def _print(console: Console, table: Table) -> None:
    if table.row_count:
        console.print(table)


def _table(*columns: str) -> Table:
    table = Table(box=box.SIMPLE, pad_edge=False, show_edge=False)
    for column in columns:
        table.add_column(column, overflow="fold")
    return table
