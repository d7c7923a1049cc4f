"""One implant (the trade says *fixture*) drawn from a recipe, until its dimensions fit together."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from sample_images.body import Fixture
from sample_images.bore import make_bore
from sample_images.heads import make_head
from sample_images.holes import (
    make_flutes,
    make_grooves,
    make_hollow,
    make_perforations,
    make_vents,
)
from sample_images.outline import body_width_mm, outline, step_heights
from sample_images.plain_facts import recipe_from_facts, stressed
from sample_images.plate import make_plate, make_windows, plate_outline
from sample_images.plausible import fits, fitted_rim, hopeless, widths_kept
from sample_images.recipe import draw, draw_forms, draw_sizes
from sample_images.sleeve import make_sleeve
from sample_images.thread_cut import cut_threads
from sample_images.vocabulary import OUTSIDE

__all__ = ["Fixture", "draw_fixture", "make_fixture"]
TRIES = 200
INSIDES_TRIED = 40
OUTLINE = ("length_mm", "coronal_width_mm", "platform_width_mm", "taper_deg", "collar_height_mm")
FORMS_TRIED = 20  # sets of forms; a set whose sizes never fit is given up


def draw_fixture(
    recipe: Mapping[str, Any],
    rng: np.random.Generator,
    facts: Mapping[str, Any] | None = None,
    *,
    stress: bool = False,
) -> Fixture:
    """Draw an implant from a recipe, anew until its dimensions fit each other.

    Parameters
    ----------
    facts : mapping, optional
        A family's facts as plain dicts (see `plain_facts`), which replace the recipe's ranges and
        shares; or dimension to (low, high), which replaces single ranges.
    stress : bool
        Shift and widen the facts first.

    Raises
    ------
    ValueError
        The ranges leave no room for a wall round the bore, or contradict each other.
    """
    plain = facts is not None and all(isinstance(fact, Mapping) for fact in facts.values())
    if facts and plain:
        return _from_facts(recipe, rng, stressed(facts, rng) if stress else facts)
    for _ in range(TRIES):
        fixture = make_fixture(*draw(recipe, rng, facts), rng)
        if fits(fixture):
            return fixture
    raise _unfit(recipe)


def _from_facts(
    recipe: Mapping[str, Any], rng: np.random.Generator, facts: Mapping[str, Any]
) -> Fixture:
    """Draw the forms first and sizes to fit them, so that shares of forms stay as stated."""
    told = recipe_from_facts(recipe, facts)
    ranges = told["dimensions"]
    for _ in range(FORMS_TRIED):
        forms = draw_forms(told, rng)
        for _ in range(TRIES):
            outside = fitted_rim(draw_sizes(ranges, rng), forms, ranges, rng)
            fixture = outside and _with_inside(outside, forms, ranges, rng)
            if fixture:
                return fixture
    raise _unfit(recipe)


def _with_inside(
    outside: Mapping[str, float],
    forms: Mapping[str, str],
    ranges: Mapping[str, Any],
    rng: np.random.Generator,
) -> Fixture | None:
    """Draw threads and bore anew until they fit this outline, so that few outlines are lost."""
    kept = {key: outside[key] for key in OUTLINE if key in outside}
    for _ in range(INSIDES_TRIED):
        sizes = draw_sizes(ranges, rng) | kept
        if hopeless(sizes, forms):
            continue
        fixture = make_fixture(sizes, forms, rng)
        if fits(fixture):
            return fixture
        if not widths_kept(fixture):
            break
    return None


def _unfit(recipe: Mapping[str, Any]) -> ValueError:
    return ValueError(
        f"{recipe['family']}: its bore does not fit into its body; narrow the bore's ranges or "
        "widen the body's."
    )


def make_fixture(
    sizes: Mapping[str, float], forms: Mapping[str, str], rng: np.random.Generator
) -> Fixture:
    """Build the implant; `rng` only turns it about its axis and sets where a crest begins."""
    sizes, forms = resolved(sizes, forms), settled(forms)
    turns = [float(turn) for turn in rng.uniform(0, 360, 4)]
    steps, plate = step_heights(sizes, forms), make_plate(sizes, forms)
    envelope = outline(sizes, forms, steps) if plate is None else plate_outline(plate, sizes)
    hollow = make_hollow(sizes, forms, envelope)
    vents = make_vents(sizes, forms, turns[0])
    lowest = envelope.end_mm - 1.2 if hollow is None else hollow.top_mm - 0.8
    if vents and forms["screw"] == "none":
        lowest = min(lowest, vents[0].z_mm - vents[0].height_mm / 2 - 0.6)
    if plate is not None and vents:
        vents = make_windows(plate, sizes)
    bore = make_bore(sizes, forms, envelope.top_mm, lowest, turns[2])
    sleeve = make_sleeve(sizes, forms, envelope, turns[1])
    return Fixture(
        sizes=sizes,
        forms=forms,
        envelope=envelope,
        threads=cut_threads(sizes, forms, envelope, bore, turns[1] / 360, sleeve),
        bore=bore,
        vents=vents,
        perforations=make_perforations(sizes, forms, hollow, turns[0]),
        hollow=hollow,
        flutes=make_flutes(sizes, forms, envelope, turns[3]),
        grooves=make_grooves(sizes, forms, envelope, turns[3] + 40),
        head=make_head(sizes, forms, bore.index_turn_deg or turns[2]),
        sleeve=sleeve,
        plate=plate,
        steps=steps,
    )


def settled(forms: Mapping[str, str]) -> dict[str, str]:
    """Make the forms agree that cannot be had apart."""
    out = dict(forms)
    if forms["index"] in OUTSIDE:  # a separate top, so the screw needs its channel
        out["head"] = "none"
    if out.get("head", "none") != "none":
        out |= {"bore": "no", "index": "none"}
    if out.get("body") == "plate":
        out |= {"thread": "none", "apex": "flat", "flutes": "none", "steps": "no"}
    if out.get("sleeve", "none") != "none":
        out["sleeve"] = "beads" if forms["thread"] == "none" else "tantalum"
    return out


def resolved(sizes: Mapping[str, float], forms: Mapping[str, str]) -> dict[str, float]:
    """Fill in the widths that follow from others, and drop what a form leaves out."""
    out = dict(sizes)
    out["body_width_mm"] = body_width_mm(out)
    if "flange_mm" in out:
        out["platform_width_mm"] = out["body_width_mm"] + out["flange_mm"]
    if forms.get("bar", "no") == "no":
        out.pop("base_bar_mm", None)
    if forms["index"] not in OUTSIDE:
        out.pop("top_height_mm", None)
    elif "opening_width_mm" not in out:  # recipes with both give the mouth of the inside one
        out.pop("mouth_width_mm", None)
    return out
