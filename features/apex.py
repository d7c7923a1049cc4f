"""The far end: where its tip lies and what form it has."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from features.edges import fit_chord_edge
from features.finding import Form
from features.outline import Outline
from features.quantity import NotMeasured, Quantity, from_parts
from features.strip import Strip

Floats = NDArray[np.float64]

SEARCH = 0.07  # a click may be off by this part of the length …
SEARCH_PX = 8.0  # … or by this much
END_REACH_PX = 12.0
END_MODEL_STD_PX = 0.35  # an end is not quite straight across (simulated)


def find_end(
    strip: Strip, bands_px: tuple[tuple[float, float], ...], *, near_px: float, toward: float
) -> Quantity:
    """Height where the metal ends along the axis, in px from the strip's platform.

    Parameters
    ----------
    strip : Strip
    bands_px : tuple of (from, to)
        Columns looked at.
    near_px : float
        Where the mark put it.
    toward : {1.0, -1.0}
        1: the metal ends toward larger z (apex); -1: toward smaller z (platform).
    """
    columns = np.concatenate([np.r_[strip.columns(*band)] for band in bands_px])
    if len(columns) == 0:
        return NotMeasured("the implant is too narrow on this film to find its end")
    grey = strip.pixels[:, columns].mean(axis=1)
    if not strip.inside[strip.rows(near_px - 2, near_px + 2)][:, columns].all():
        return NotMeasured("the end of the implant is outside the film")
    slope = -toward * ndimage.gaussian_filter1d(grey, 1.5 / strip.step_px, order=1)
    search = max(SEARCH * strip.axis.length_px, SEARCH_PX)
    rows = strip.rows(near_px - search, near_px + search)
    likely = slope[rows] * np.exp(-0.5 * ((strip.z_px[rows] - near_px) / search) ** 2)
    place = float(strip.z_px[rows][int(likely.argmax())])
    depth = toward * (place - strip.z_px)
    near = np.abs(depth) <= END_REACH_PX
    order = np.argsort(depth[near])
    edge = fit_chord_edge(depth[near][order], grey[near][order])
    if not edge.offset_px:
        return edge.offset_px
    value = place + toward * edge.offset_px.value
    return from_parts(value, "px", edge=edge.offset_px.std, edge_model=END_MODEL_STD_PX)


def find_tip(strip: Strip, outline: Outline) -> Quantity:
    """Height of the apex tip, from the axis or, where the end is open, from the wall ends."""
    length = strip.axis.length_px
    half = float(np.median(outline.width_px[outline.between(0.7 * length, 0.92 * length)])) / 2
    tip = find_end(strip, ((-0.25 * half, 0.25 * half),), near_px=length, toward=1.0)
    if tip:
        return tip
    rims = ((-0.95 * half, -0.6 * half), (0.6 * half, 0.95 * half))
    return find_end(strip, rims, near_px=length, toward=1.0)


def apex_form(
    outline: Outline, strip: Strip, *, tip_px: float, opened: float, background: float
) -> Form:
    """Form of the end from the silhouette's width close to the tip.

    Parameters
    ----------
    outline, strip
    tip_px : float
        Height of the tip.
    opened : float
        Probability that the end is open (from the gaps inside the body).
    background : float
        Grey beside the implant.
    """
    if opened > 0.5:
        return Form("open", opened)
    length = tip_px
    body = outline.between(0.72 * length, 0.85 * length)
    width = float(np.median(outline.width_px[body]))
    near = _silhouette(strip, tip_px - 0.05 * width, 0.02 * width, width, background)
    if near is None:
        return Form("not assessable", 1.0, "the apex does not stand out from the bone")
    fullness = near / width
    # A flat end with a small chamfer keeps nine tenths of its width there, a half sphere 0.44, an
    # oval end half as deep 0.6, a cone less than 0.2: derived from the shapes' own geometry.
    scores = {
        "flat": _bell(fullness, 0.90, 0.10),
        "dome": _bell(fullness, 0.55, 0.13),
        "pointed": _bell(fullness, 0.16, 0.12),
    }
    total = sum(scores.values())
    state = max(scores, key=lambda key: scores[key])
    return Form(state, float(min(scores[state] / total, 0.95)))


def _bell(value: float, middle: float, std: float) -> float:
    return float(np.exp(-0.5 * ((value - middle) / std) ** 2) + 0.02)


def _silhouette(
    strip: Strip, z_px: float, reach_px: float, width: float, background: float
) -> float | None:
    """Width of the bright run across the axis at one height, px."""
    rows = strip.rows(z_px - max(reach_px, 1.0), z_px + max(reach_px, 1.0))
    grey = strip.pixels[rows].mean(axis=0)
    metal = float(grey[strip.columns(-0.3 * width, 0.3 * width)].max())
    if metal - background < 0.03:
        return None
    bright = grey > (metal + background) / 2
    labels, _ = ndimage.label(bright)
    middle = labels[strip.columns(-0.15 * width, 0.15 * width)]
    label = int(np.max(middle))
    return float((labels == label).sum() * strip.step_px) if label else None
