"""Marks in the making: the handles over the film, and the marks file they add up to.

A draft is a plain ``marks/1`` dict whose known length may still lack its size. `pending` holds the
handles still at the place the program gave them: nothing is measured from those.
"""

from __future__ import annotations

import copy
from itertools import cycle
from typing import Any

import numpy as np

from features.marks import Marks, Point, check_marks
from features.radiograph import Radiograph

Draft = dict[str, Any]
Points = dict[str, Point]

IMPLANT_COLOURS = ("#ffb000", "#35c2ff")
SCALE_COLOUR = "#7ee787"
LABELS = ("A", "B")
SCALE_IDS = ("scale:1", "scale:2")
WITH_ENDS = ("ball", "line")
SIZE_OF = {
    "ball": "size_mm",
    "line": "size_mm",
    "implant_length": "size_mm",
    "implant_diameter": "size_mm",
    "pixel": "mm_per_px",
}


def start_draft(width: int, height: int, *, crown_up: bool = True) -> Draft:
    """Put handles in the middle of a film nobody has marked yet."""
    implant = _implant_at("A", width, height, middle=0.5, crown_up=crown_up)
    return {
        "radiofixture": "marks/1",
        "film": {"holder": False},
        "scale": {"kind": "none"},
        "implants": [implant],
    }


def draft_from(marks: Marks) -> Draft:
    """Open marks that were read from a file to change."""
    draft: Draft = marks.model_dump(mode="json", exclude_none=True)
    return draft


def crown_is_up(film: Radiograph) -> bool:
    """Tell a lower jaw's film from an upper's: crowns are bright, and lie in one half."""
    bright = film.pixels > np.percentile(film.pixels, 95)
    half = film.height // 2
    return bool(bright[:half].sum() >= bright[half:].sum())


def _implant_at(
    label: str, width: int, height: int, *, middle: float, crown_up: bool = True
) -> dict[str, Any]:
    half, x = 0.07 * width, middle * width
    top, foot = (0.3 * height, 0.75 * height) if crown_up else (0.7 * height, 0.25 * height)
    return {
        "label": label,
        "joint": "guessed",  # until somebody says it is seen
        "platform_px": [[x - half, top], [x + half, top]],
        "apex_px": [x, foot],
    }


def points_of(draft: Draft) -> Points:
    """Every handle's place by its id, in film px (an integer is a pixel's centre)."""
    points: dict[str, Any] = {}
    for implant in draft["implants"]:
        first, second = implant["platform_px"]
        places = (first, second, implant["apex_px"])
        points |= dict(zip(implant_ids(implant["label"]), places, strict=True))
    if draft["scale"]["kind"] in WITH_ENDS:
        points |= dict(zip(SCALE_IDS, draft["scale"]["ends_px"], strict=True))
    return {name: (float(x), float(y)) for name, (x, y) in points.items()}


def implant_ids(label: str) -> tuple[str, str, str]:
    """Ids of the handles of one implant: both platform ends, apex."""
    return f"{label}:platform_1", f"{label}:platform_2", f"{label}:apex"


def with_points(draft: Draft, points: Points) -> Draft:
    """Return the draft with its handles moved; a handle not named stays where it is."""
    places = points_of(draft) | {k: v for k, v in points.items() if k in points_of(draft)}
    new = copy.deepcopy(draft)
    for implant in new["implants"]:
        first, second, apex = (list(places[name]) for name in implant_ids(implant["label"]))
        implant.update(platform_px=[first, second], apex_px=apex)
    if new["scale"]["kind"] in WITH_ENDS:
        new["scale"]["ends_px"] = [list(places["scale:1"]), list(places["scale:2"])]
    return new


def handles_of(draft: Draft, pending: frozenset[str]) -> list[dict[str, Any]]:
    """List what the browser draws as handles."""
    several = len(draft["implants"]) > 1
    handles = []
    for implant, colour in zip(draft["implants"], cycle(IMPLANT_COLOURS)):
        handles += _implant_handles(implant["label"], colour, several=several)
    if draft["scale"]["kind"] in WITH_ENDS:
        names = {"ball": ("ball", "Ball"), "line": ("known length", "Known length")}
        short, label = names[draft["scale"]["kind"]]
        handles += [_handle("scale:1", f"{label}, one edge", "", SCALE_COLOUR)]
        handles += [_handle("scale:2", f"{label}, other edge", short, SCALE_COLOUR)]
    return [handle | {"waiting": handle["id"] in pending} for handle in handles]


def _implant_handles(label: str, colour: str, *, several: bool) -> list[dict[str, Any]]:
    first, second, apex = implant_ids(label)
    lead = f"{label} " if several else ""
    return [
        _handle(first, f"Implant {label}, platform, one end", "", colour),
        _handle(second, f"Implant {label}, platform, other end", f"{lead}platform", colour),
        _handle(apex, f"Implant {label}, apex", f"{lead}apex", colour),
    ]


def _handle(name: str, label: str, short: str, colour: str) -> dict[str, Any]:
    return {"id": name, "label": label, "short": short, "colour": colour}


def links_of(draft: Draft) -> list[dict[str, Any]]:
    """Lines between handles: platform, axis, and the known length or the ball."""
    links = []
    for implant, colour in zip(draft["implants"], cycle(IMPLANT_COLOURS)):
        first, second, apex = implant_ids(implant["label"])
        links.append(_link("platform", [first, second], colour, implant["label"]))
        links.append(_link("axis", [first, second, apex], colour, implant["label"]))
    kind = {"ball": "circle", "line": "known"}.get(draft["scale"]["kind"])
    return links + ([_link(kind, ["scale:1", "scale:2"], SCALE_COLOUR, "scale")] if kind else [])


def _link(kind: str, between: list[str], colour: str, owner: str) -> dict[str, Any]:
    return {"id": f"{owner}:{kind}", "kind": kind, "between": between, "colour": colour}


def with_second_implant(draft: Draft, width: int, height: int) -> Draft:
    """One implant more, put where the first is not."""
    taken = {implant["label"] for implant in draft["implants"]}
    label = next(label for label in LABELS if label not in taken)
    first = draft["implants"][0]
    apex_x, apex_y = first["apex_px"]
    middle = 0.75 if apex_x < width / 2 else 0.25
    crown_up = first["platform_px"][0][1] < apex_y
    added = _implant_at(label, width, height, middle=middle, crown_up=crown_up)
    return draft | {"implants": [*draft["implants"], added]}


def without_implant(draft: Draft, label: str) -> Draft:
    """One implant less; a scale resting on it goes too."""
    rest = [implant for implant in draft["implants"] if implant["label"] != label]
    orphaned = draft["scale"].get("label") == label
    return draft | {"implants": rest} | ({"scale": {"kind": "none"}} if orphaned else {})


def with_entry(draft: Draft, label: str, name: str, value: str | None) -> Draft:
    """One entry of one implant, such as its tooth, set anew; None leaves it out."""
    new = copy.deepcopy(draft)
    for implant in new["implants"]:
        if implant["label"] == label and value is not None:
            implant[name] = value
        elif implant["label"] == label:
            implant.pop(name, None)
    return new


def with_scale_kind(draft: Draft, kind: str, width: int, height: int) -> Draft:
    """Another way of knowing the scale. Sizes start empty: a guessed one would pass unseen."""
    scale: dict[str, Any] = {"kind": kind}
    if kind in WITH_ENDS:
        ends = [[0.2 * width, 0.15 * height], [0.35 * width, 0.15 * height]]
        scale["ends_px"] = draft["scale"].get("ends_px", ends)
    if kind in ("implant_length", "implant_diameter"):
        scale["label"] = draft["implants"][0]["label"]
    return draft | {"scale": scale}


def start_pending(before: Draft, after: Draft) -> frozenset[str]:
    """Return the handles that `after` has and `before` had not: they wait for a hand."""
    return frozenset(points_of(after)) - frozenset(points_of(before))


def waiting_sentences(draft: Draft, pending: frozenset[str]) -> list[str]:
    """Say what is still to be done on the film; empty when all is in place."""
    sentences = []
    for implant in draft["implants"]:
        left = [name for name in implant_ids(implant["label"]) if name in pending]
        if left:
            words = _words([name.split(":")[1].split("_")[0] for name in left])
            sentences.append(f"Drag the handles of implant {implant['label']} into place: {words}.")
    sentences += _waiting_for_scale(draft["scale"], pending)
    return sentences


def _waiting_for_scale(scale: dict[str, Any], pending: frozenset[str]) -> list[str]:
    if pending & set(SCALE_IDS):
        return ["Drag the two green handles to the two edges of the known length."]
    if scale_lacks_size(scale):
        return ["Type the known size; until then there is no scale."]
    return []


def _words(ends: list[str]) -> str:
    platforms = ends.count("platform")
    words = {0: [], 1: ["one platform end"], 2: ["both platform ends"]}[platforms]
    return " and ".join(words + ["apex"] * ends.count("apex"))


def scale_lacks_size(scale: dict[str, Any]) -> bool:
    """Whether a size is asked for and not yet typed."""
    wanted = SIZE_OF.get(scale["kind"])
    return wanted is not None and scale.get(wanted) is None


def finished_marks(
    draft: Draft, pending: frozenset[str], *, width: int, height: int
) -> Marks | None:
    """Check the marks of all that is in place; None while no implant is.

    Raises
    ------
    BadInput
        When handles in place contradict each other, such as an apex on the platform line.
    """
    ready = [i for i in draft["implants"] if not pending & set(implant_ids(i["label"]))]
    if not ready:
        return None
    scale = draft["scale"]
    waits = pending & set(SCALE_IDS) or scale_lacks_size(scale)
    orphaned = "label" in scale and scale["label"] not in {i["label"] for i in ready}
    used = {"kind": "none"} if waits or orphaned else scale
    data = draft | {"implants": ready, "scale": used}
    return check_marks(data, width=width, height=height, what="these marks")
