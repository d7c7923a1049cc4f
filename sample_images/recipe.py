"""A family's recipe: a range for every dimension, read strictly, and one implant drawn from it."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from sample_images.vocabulary import ALL_FORMS, ALWAYS, DIMENSIONS, FORMS, LATER_FORMS, STANDINGS

FOLDER = Path(__file__).with_name("recipes")
PARTS = {"low", "high", "edge", "values", "standing", "source"}


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
    _known(recipe, {"family", "group", "dimensions", "forms", "limits"}, name, "entry")
    for key in ("family", "group", "dimensions", "forms"):
        if key not in recipe:
            raise BadRecipe(f"{name}: '{key}' is missing; add it.")
    _known(recipe["dimensions"], set(DIMENSIONS), name, "dimension")
    _known(recipe["forms"], set(ALL_FORMS), name, "form")
    for key in ALWAYS:
        if key not in recipe["dimensions"]:
            raise BadRecipe(f"{name}: dimensions.{key} is missing; every family needs it.")
    _one_of_two(recipe, name, "platform_width_mm", "flange_mm", "platform less body")
    _one_of_two(recipe, name, "body_width_mm", "coronal_width_mm", "a quarter down")
    for key, entry in recipe["dimensions"].items():
        _check_range(key, entry, name)
    _known(recipe.get("limits", {}), set(DIMENSIONS), name, "limit")
    for key, entry in recipe.get("limits", {}).items():
        _check_range(key, entry, name)
    for key, entry in recipe["forms"].items():
        _check_options(key, entry, name)


def _one_of_two(recipe: Mapping[str, Any], name: str, one: str, other: str, what: str) -> None:
    if (one in recipe["dimensions"]) == (other in recipe["dimensions"]):
        raise BadRecipe(
            f"{name}: give either dimensions.{one} or dimensions.{other} ({what}), "
            "not both or neither."
        )


def _known(entries: Mapping[str, Any], allowed: set[str], name: str, what: str) -> None:
    for key in entries:
        if key not in allowed:
            raise BadRecipe(f"{name}: '{key}' is not a known {what}; remove it or correct it.")


def _check_range(key: str, entry: Mapping[str, Any], name: str) -> None:
    _known(entry, PARTS, name, f"part of {key}")
    ends = entry.get("values", [entry.get("low"), entry.get("high")])
    if not ends or not all(isinstance(end, int | float) and math.isfinite(end) for end in ends):
        raise BadRecipe(f"{name}: dimensions.{key} needs numbers, 'low' and 'high' or 'values'.")
    low, high = DIMENSIONS[key]
    if "values" not in entry and ends[0] > ends[1]:
        raise BadRecipe(
            f"{name}: dimensions.{key} runs from {ends[0]} down to {ends[1]}; swap them."
        )
    if entry.get("edge", 0.0) < 0:
        raise BadRecipe(f"{name}: dimensions.{key} has an 'edge' below 0; give 0 or more.")
    if min(ends) < low or max(ends) > high:
        raise BadRecipe(f"{name}: dimensions.{key} must lie within {low} to {high} (got {ends}).")
    _check_standing(entry, f"dimensions.{key}", name)


def _check_options(key: str, entry: Mapping[str, Any], name: str) -> None:
    _known(entry, {"options", "standing", "source"}, name, f"part of {key}")
    options = entry.get("options", {})
    _known(options, set(ALL_FORMS[key]), name, f"option of {key}")
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
    return draw_sizes(ranges, rng), draw_forms(recipe, rng)


def draw_sizes(ranges: Mapping[str, Any], rng: np.random.Generator) -> dict[str, float]:
    """Draw one value of every dimension that has a range."""
    return {
        key: _draw_size(ranges[key], rng, *DIMENSIONS[key]) for key in DIMENSIONS if key in ranges
    }


def draw_forms(recipe: Mapping[str, Any], rng: np.random.Generator) -> dict[str, str]:
    """Draw one option of every form."""
    (later,) = rng.spawn(1)
    forms = {key: _draw_form(recipe["forms"].get(key), rng, FORMS[key][0]) for key in FORMS}
    return forms | {
        key: _draw_form(recipe["forms"].get(key), later, LATER_FORMS[key][0]) for key in LATER_FORMS
    }


def _draw_size(
    entry: Mapping[str, Any], rng: np.random.Generator, least: float, most: float
) -> float:
    """Draw within the range; with an `edge`, from a flat top with Gaussian shoulders outside."""
    if entry.get("edge"):
        return _draw_shouldered(entry, rng, least, most)
    share = rng.random()
    if "values" in entry:
        return float(entry["values"][int(share * len(entry["values"]))])
    return float(entry["low"] + share * (entry["high"] - entry["low"]))


def _draw_shouldered(
    entry: Mapping[str, Any], rng: np.random.Generator, least: float, most: float
) -> float:
    low, high, edge = entry["low"], entry["high"], entry["edge"]
    shoulders = edge * math.sqrt(math.tau)  # area of both half Gaussians of height 1
    least, most = entry.get("least", least), entry.get("most", most)
    while True:
        if rng.random() * (high - low + shoulders) < high - low:
            value = rng.uniform(low, high)
        else:
            step = rng.normal(0.0, edge)
            value = high + step if step > 0 else low + step
        if least <= value <= most:
            return float(value)


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
