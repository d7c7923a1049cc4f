"""A recipe whose ranges and shares are those of a family's facts, handed over as a plain dict.

A number is ``{"low", "high", "edge"}``: drawn from a density flat from `low` to `high` that falls
off outside like a Gaussian of standard deviation `edge`. A form or finding is a share for each
state, drawn as stated. What cannot be built is left out and the rest rescaled: a state no recipe
of the family can make (a bore in a body that is all post), a size beyond the recipe's `limits`.

Findings are what a good film shows, not what is there: a family's holes, drawn with the share with
which they are seen and then turned at random, show more seldom than the facts say.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from sample_images.vocabulary import ALL_FORMS, DIMENSIONS, MALE

OPTIONAL = Path(__file__).with_name("optional_parts.toml")
NOTES = ("standing", "note", "source")
SHIFT, WIDEN, EVENED = 0.10, 1.5, 0.20  # of a stress study
NUMBERS = {
    "length_mm": "length_mm",
    "coronal_width_mm": "coronal_width_mm",
    "platform_width_mm": "platform_width_mm",
    "taper_deg": "taper_deg",
    "thread_pitch_mm": "thread_pitch_mm",
    "thread_depth_mm": "thread_depth_mm",
    "bore_width_mm": "bore_width_mm",
    "bore_depth_mm": "bore_depth_mm",
    "bore_mouth_mm": "opening_width_mm",
    "bore_cone_deg": "mouth_cone_deg",
    "collar_height_mm": "collar_height_mm",
}
HELICES = ("v", "rounded", "square", "buttress", "reverse buttress")
HEADS = {"post": ("post", "square"), "ball": ("ball",), "nothing": ("none",)}


def recipe_from_facts(
    recipe: Mapping[str, Any], facts: Mapping[str, Mapping[str, Any]]
) -> dict[str, Any]:
    """Recipe with every range and share that `facts` state put in place of its own.

    Parameters
    ----------
    recipe : mapping
        As `recipe.load_recipe` gives it.
    facts : mapping
        Item to its range or shares; items that decide nothing of a shape are passed over.
    """
    sizes = optional_ranges() | dict(recipe["dimensions"])
    for item, size in NUMBERS.items():
        if item in facts:
            sizes[size] = _range(facts[item], size, recipe.get("limits", {}).get(size))
    if "coronal_width_mm" in facts:
        sizes.pop("body_width_mm", None)
    if "platform_width_mm" in facts:
        sizes.pop("flange_mm", None)
    if "well_width_mm" in sizes and "bore_cone_deg" in facts:
        sizes["well_taper_deg"] = _range(facts["bore_cone_deg"], "well_taper_deg", None)
    if "mouth_depth_mm" not in recipe["dimensions"] and _opens_with_prism(recipe):
        sizes.pop("mouth_depth_mm")
        sizes.pop("mouth_width_mm")
        sizes.pop("mouth_cone_deg", None)
    return {**recipe, "dimensions": sizes, "forms": _forms(recipe["forms"], facts)}


@cache
def optional_ranges() -> dict[str, Any]:
    """Ranges of features any family may have."""
    return dict(tomllib.loads(OPTIONAL.read_text(encoding="utf-8"))["dimensions"])


def _opens_with_prism(recipe: Mapping[str, Any]) -> bool:
    options = recipe["forms"].get("index", {}).get("options", {})
    return any(kind in ("hexagon", "octagon", "twelve points") for kind in options)


def _range(fact: Mapping[str, Any], size: str, limit: Mapping[str, float] | None) -> dict[str, Any]:
    least, most = DIMENSIONS[size]
    if limit:
        least, most = limit["low"], limit["high"]
    low, high = (float(np.clip(fact[end], least, most)) for end in ("low", "high"))
    edge = float(fact.get("edge", 0.0))
    return {
        "low": low,
        "high": high,
        "edge": edge,
        "least": least,
        "most": most,
        "standing": fact.get("standing", "invented"),
    }


def _forms(own: Mapping[str, Any], facts: Mapping[str, Mapping[str, Any]]) -> dict[str, Any]:
    shares = {key: dict(entry["options"]) for key, entry in own.items()}
    out = dict(shares)
    for item, key, yes in (
        ("micro_threads", "micro_threads", ("yes",)),
        ("steps", "steps", ("yes",)),
        ("perforations", "perforations", ("yes",)),
        ("vents", "vents", ("one", "crossed")),
        ("flutes", "flutes", ("three", "four")),
        ("inset", "inset", ("yes",)),
    ):
        if item in facts:
            out[key] = _found(facts[item]["present"], shares.get(key, {}), yes, key)
    if "apex_form" in facts:
        out["apex"] = _states(facts["apex_form"])
    if "collar_form" in facts:
        out["rim"] = _states(facts["collar_form"])
    if "threads" in facts:
        out |= _threads(shares, facts)
    if "index" in facts and "index_shape" in facts:
        out["index"] = _index(shares.get("index", {"none": 1.0}), facts)
    if "top_form" in facts and "head" in shares:
        out["head"] = _heads(shares["head"], facts["top_form"])
        out["index"] = _where_bare(out["index"], out["head"])
    return {key: {"options": _even(options), "standing": "derived"} for key, options in out.items()}


def _where_bare(index: Mapping[str, float], head: Mapping[str, float]) -> dict[str, float]:
    """Index of the bodies without a post; one with a post has none, so the rest has it oftener."""
    bare, shares = _even(head).get("none", 0.0), _even(index)
    outside = {kind: share for kind, share in shares.items() if kind in MALE}
    inside = {k: p for k, p in shares.items() if k != "none" and k not in outside}
    if not bare or not inside:
        return shares
    room = (1 - sum(outside.values())) / sum(inside.values())
    raised = outside | {k: p * min(1 / bare, room) for k, p in inside.items()}
    return raised | {"none": max(1 - sum(raised.values()), 0.0)}


def _states(fact: Mapping[str, Any]) -> dict[str, float]:
    return {state: float(share) for state, share in fact.items() if state not in NOTES}


def _even(options: Mapping[str, float]) -> dict[str, float]:
    total = sum(options.values())
    return {option: share / total for option, share in options.items()}


def _found(
    present: float, own: Mapping[str, float], yes: tuple[str, ...], key: str
) -> dict[str, float]:
    """Share the finding's probability among the kinds the recipe knows (else the first kind)."""
    kinds = {option: own.get(option, 0.0) for option in yes}
    if not sum(kinds.values()):
        kinds = {yes[0]: 1.0}
    no = next(option for option in ("no", "none") if option in ALL_FORMS[key])
    return {no: 1 - present} | {kind: present * share for kind, share in _even(kinds).items()}


def _threads(
    shares: Mapping[str, Mapping[str, float]], facts: Mapping[str, Mapping[str, Any]]
) -> dict[str, dict[str, float]]:
    """Share out screw, rings and smooth; then the screw's flanks and its starts."""
    helix, rings = facts["threads"]["present"], facts.get("rings", {}).get("present", 0.0)
    own = shares.get("thread", {})
    kinds = {kind: own[kind] for kind in HELICES if own.get(kind)} or {"v": 1.0}
    thread = {"none": max(1 - helix - rings, 0.0), "rings": rings}
    thread |= {kind: helix * share for kind, share in _even(kinds).items()}
    out = {"thread": thread}
    if "thread_starts" in facts:
        odd, even = facts["thread_starts"]["odd"], facts["thread_starts"]["even"]
        ours = shares.get("starts", {})
        single, triple = ours.get("1", 1.0), ours.get("3", 0.0)
        odds = _even({"1": single or (not triple), "3": triple})
        out["starts"] = {start: odd * share for start, share in odds.items()} | {"2": even}
    return out


def _index(own: Mapping[str, float], facts: Mapping[str, Mapping[str, Any]]) -> dict[str, float]:
    """Weigh the recipe's kinds of index by side and shape; kinds of one shape share as they did.

    Together they are there as often as an index is: a shape's share of all bodies, those without
    an index among them, says only how common it is beside the other shapes.
    """
    out: dict[str, float] = {}
    present = facts["index"]["present"]
    groups: dict[tuple[str, str], dict[str, float]] = {}
    for kind, share in own.items():
        groups.setdefault(_side_and_shape(kind), {})[kind] = share
    for (side, shape), kinds in groups.items():
        if shape != "none":
            sides = facts.get("index_side", {}).get(side, 0.5)
            weight = sides * facts["index_shape"].get(shape, 0.0)
            out |= {kind: weight * share for kind, share in _even(kinds).items()}
    if sum(out.values()) <= 0:
        return dict(own)
    there = {kind: present * share for kind, share in _even(out).items()}
    return there | ({"none": 1 - present} if "none" in own else {})


def _side_and_shape(kind: str) -> tuple[str, str]:
    if kind == "none":
        return "none", "none"
    side = "outside" if kind in MALE or kind == "spline teeth" else "inside"
    shape = kind.removeprefix("male ")
    return side, shape if shape in ("hexagon", "three lobes", "octagon") else "other"


def _heads(own: Mapping[str, float], top: Mapping[str, Any]) -> dict[str, float]:
    out: dict[str, float] = {}
    for state, kinds in HEADS.items():
        here = {kind: own[kind] for kind in kinds if own.get(kind)}
        if here:
            out |= {kind: top.get(state, 0.0) * share for kind, share in _even(here).items()}
    return out if sum(out.values()) > 0 else dict(own)


def stressed(
    facts: Mapping[str, Mapping[str, Any]], rng: np.random.Generator
) -> dict[str, dict[str, Any]]:
    """Facts shifted and widened, for a study of how the weighing bears wrong notes.

    Every range moves by 10 % of its middle, up or down at random, and becomes half as wide again,
    shoulders included; every set of shares is mixed 80 to 20 with even shares.
    """
    return {
        item: _moved(fact, rng) if "low" in fact else _evened(fact) for item, fact in facts.items()
    }


def _moved(fact: Mapping[str, Any], rng: np.random.Generator) -> dict[str, Any]:
    middle, half = (fact["low"] + fact["high"]) / 2, (fact["high"] - fact["low"]) / 2
    middle += SHIFT * middle * (1 if rng.random() < 0.5 else -1)
    ends = {"low": middle - WIDEN * half, "high": middle + WIDEN * half}
    return {**fact, **ends, "edge": WIDEN * fact.get("edge", 0.0)}


def _evened(fact: Mapping[str, Any]) -> dict[str, Any]:
    shares = _states(fact)
    mixed = {state: (1 - EVENED) * share + EVENED / len(shares) for state, share in shares.items()}
    return {**fact, **mixed}
