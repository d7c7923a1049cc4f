"""A family's recipe: a range for every dimension, read strictly, and one implant drawn from it."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

FOLDER = Path(__file__).with_name("recipes")
STANDINGS = ("source", "derived", "from memory", "common practice", "invented")

# every dimension a recipe may give, with the widest range that makes sense
DIMENSIONS: dict[str, tuple[float, float]] = {
    "length_mm": (4, 25),
    "body_width_mm": (1.5, 8),
    "taper_deg": (-3, 10),
    "platform_width_mm": (1.5, 9),
    "flange_mm": (-1.5, 2),
    "collar_height_mm": (0, 5),
    "shoulder_rise_mm": (0, 1.5),
    "thread_pitch_mm": (0.2, 2.5),
    "thread_depth_mm": (0.05, 1.2),
    "apex_plain_mm": (0, 5),
    "micro_height_mm": (0.5, 4),
    "micro_pitch_mm": (0.15, 0.5),
    "micro_depth_mm": (0.04, 0.2),
    "top_flats_mm": (1.5, 4),
    "top_height_mm": (0.3, 2),
    "bore_depth_mm": (2, 12),
    "well_width_mm": (1, 4),
    "well_taper_deg": (0, 3),
    "mouth_width_mm": (1.2, 5),
    "mouth_cone_deg": (0, 50),
    "mouth_depth_mm": (0, 5),
    "index_flats_mm": (1.2, 4),
    "index_depth_mm": (0.5, 4),
    "lobe_reach_mm": (0.8, 2.5),
    "lobe_width_mm": (0.5, 2),
    "vent_width_mm": (0.3, 3),
    "vent_height_mm": (0.3, 6),
    "vent_from_apex_mm": (1, 8),
    "wall_mm": (0.2, 1),
    "hollow_length_mm": (2, 10),
    "perforation_width_mm": (0.3, 1.5),
    "perforation_spacing_mm": (0.6, 3),
    "apex_round_mm": (0.1, 3),
    "flute_length_mm": (1, 8),
    "flute_width_mm": (0.4, 2),
}
ALWAYS = ("length_mm", "body_width_mm", "taper_deg", "apex_round_mm")
FORMS: dict[str, tuple[str, ...]] = {
    "collar": ("straight", "tulip", "sloped"),
    "apex": ("flat", "dome", "pointed", "open"),
    "thread": ("none", "v", "rounded", "square", "rings"),
    "starts": ("1", "2", "3"),
    "screw": ("none", "M1.6", "M1.8", "M2", "M2.5", "UNF 1-72"),
    "index": ("none", "male hexagon", "hexagon", "three lobes"),
    "vents": ("none", "one", "crossed"),
    "micro_threads": ("no", "yes"),
    "flutes": ("none", "three", "four"),
}


class BadRecipe(ValueError):  # noqa: N818 - reads as what it is in a sentence
    """A recipe that cannot be used; the message says file, entry and the way out."""


@cache
def load_recipe(family: str, folder: Path = FOLDER) -> dict[str, Any]:
    """Read and check one family's recipe.

    Raises
    ------
    BadRecipe
        No such family, an unknown or missing entry, or a range that makes no sense.
    """
    path = folder / f"{family}.toml"
    if not path.exists():
        known = ", ".join(sorted(file.stem for file in folder.glob("*.toml")))
        raise BadRecipe(f"there is no recipe for '{family}'; choose one of {known}.")
    try:
        recipe = tomllib.loads(path.read_text(encoding="utf-8"))
    except tomllib.TOMLDecodeError as error:
        raise BadRecipe(f"{path.name}: not valid TOML ({error}).") from None
    check_recipe(recipe, path.name)
    return recipe


def check_recipe(recipe: Mapping[str, Any], name: str) -> None:
    """Hold a recipe against what recipes may say; raises BadRecipe with the first fault."""
    _known(recipe, {"family", "group", "dimensions", "forms"}, name, "entry")
    for key in ("family", "group", "dimensions", "forms"):
        if key not in recipe:
            raise BadRecipe(f"{name}: '{key}' is missing; add it.")
    _known(recipe["dimensions"], set(DIMENSIONS), name, "dimension")
    _known(recipe["forms"], set(FORMS), name, "form")
    for key in ALWAYS:
        if key not in recipe["dimensions"]:
            raise BadRecipe(f"{name}: dimensions.{key} is missing; every family needs it.")
    if ("platform_width_mm" in recipe["dimensions"]) == ("flange_mm" in recipe["dimensions"]):
        raise BadRecipe(
            f"{name}: give either dimensions.platform_width_mm or dimensions.flange_mm "
            "(platform less body), not both or neither."
        )
    for key, entry in recipe["dimensions"].items():
        _check_range(key, entry, name)
    for key, entry in recipe["forms"].items():
        _check_options(key, entry, name)


def _known(entries: Mapping[str, Any], allowed: set[str], name: str, what: str) -> None:
    for key in entries:
        if key not in allowed:
            raise BadRecipe(f"{name}: '{key}' is not a known {what}; remove it or correct it.")


def _check_range(key: str, entry: Mapping[str, Any], name: str) -> None:
    _known(entry, {"low", "high", "values", "standing", "source"}, name, f"part of {key}")
    ends = entry.get("values", [entry.get("low"), entry.get("high")])
    if not ends or not all(isinstance(end, int | float) and math.isfinite(end) for end in ends):
        raise BadRecipe(f"{name}: dimensions.{key} needs numbers, 'low' and 'high' or 'values'.")
    low, high = DIMENSIONS[key]
    if "values" not in entry and ends[0] > ends[1]:
        raise BadRecipe(
            f"{name}: dimensions.{key} runs from {ends[0]} down to {ends[1]}; swap them."
        )
    if min(ends) < low or max(ends) > high:
        raise BadRecipe(f"{name}: dimensions.{key} must lie within {low} to {high} (got {ends}).")
    _check_standing(entry, f"dimensions.{key}", name)


def _check_options(key: str, entry: Mapping[str, Any], name: str) -> None:
    _known(entry, {"options", "standing", "source"}, name, f"part of {key}")
    options = entry.get("options", {})
    _known(options, set(FORMS[key]), name, f"option of {key}")
    if not options or min(options.values()) < 0 or abs(sum(options.values()) - 1) > 1e-6:
        raise BadRecipe(f"{name}: forms.{key} needs options whose shares sum to 1.")
    _check_standing(entry, f"forms.{key}", name)


def _check_standing(entry: Mapping[str, Any], where: str, name: str) -> None:
    standing = entry.get("standing")
    if standing not in STANDINGS:
        raise BadRecipe(f"{name}: {where} needs a standing: {', '.join(STANDINGS)}.")
    if standing == "source" and not entry.get("source"):
        raise BadRecipe(f"{name}: {where} says 'source' but names none; add 'source'.")


def draw(
    recipe: Mapping[str, Any], rng: np.random.Generator, facts: Mapping[str, Any] | None = None
) -> tuple[dict[str, float], dict[str, str]]:
    """One implant's dimensions and forms; `facts` replaces the ranges of single dimensions.

    Parameters
    ----------
    facts : mapping of dimension to (low, high), optional
    """
    ranges = dict(recipe["dimensions"])
    for key, ends in (facts or {}).items():
        entry = {"low": ends[0], "high": ends[1], "standing": "invented"}
        _known({key: entry}, set(DIMENSIONS), "facts", "dimension")
        _check_range(key, entry, "facts")
        ranges[key] = entry
    sizes = {key: _draw_size(ranges[key], rng) for key in DIMENSIONS if key in ranges}
    forms = {key: _draw_form(recipe["forms"].get(key), rng, FORMS[key][0]) for key in FORMS}
    return sizes, forms


def _draw_size(entry: Mapping[str, Any], rng: np.random.Generator) -> float:
    share = rng.random()
    if "values" in entry:
        return float(entry["values"][int(share * len(entry["values"]))])
    return float(entry["low"] + share * (entry["high"] - entry["low"]))


def _draw_form(entry: Mapping[str, Any] | None, rng: np.random.Generator, otherwise: str) -> str:
    share = rng.random()
    if entry is None:
        return otherwise
    total = 0.0
    for option, part in entry["options"].items():
        total += part
        if share < total:
            return str(option)
    return str(option)
