"""The far end: where its tip lies and what form it has."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage, special

from features.edges import fit_chord_edge
from features.end_shape import DEPTHS, EndShape, read_end
from features.end_shape import TILTS_DEG as END_TILTS_DEG
from features.finding import Form
from features.lone_edge import stray_chance
from features.marks import CLICK_STD_PX
from features.outline import Outline
from features.quantity import NotMeasured, Quantity, from_parts
from features.slant import Slant
from features.strip import Strip

Floats = NDArray[np.float64]

SEARCH = 0.07  # a click may be off by this part of the length …
SEARCH_PX = 8.0  # … or by this much
CLICK_PX, BEYOND_PX = 8.0, 4.0  # beyond a click's reach an edge must be ever stronger …
FAR_SHARE = 0.25  # … but never more than four times as strong
END_REACH_PX = 12.0
SAME_EDGE_PX = 2.5  # two edges no farther apart are one, blurred
# marks tried, in standard deviations of a click: evenly likely, the one that was made in the middle
CLICKS = special.ndtri((np.arange(15) + 0.5) / 15)
LEAST_WIDTHS = 5  # of the silhouette, for its shape to be told
END_MODEL_STD_PX = 0.35  # an end is not quite straight across (simulated)


def find_end(
    strip: Strip,
    bands_px: tuple[tuple[float, float], ...],
    *,
    near_px: float,
    toward: float,
    click_px: float,
) -> Quantity:
    """Height where the metal ends along the axis, in px from the strip's platform.

    Where a mark a little farther off would have led to another edge, the ± says so.

    Parameters
    ----------
    strip : Strip
    bands_px : tuple of (from, to)
        Columns looked at.
    near_px : float
        Where the mark put it.
    toward : {1.0, -1.0}
        1: the metal ends toward larger z (apex); -1: toward smaller z (platform).
    click_px : float
        Standard deviation of the mark.
    """
    columns = strip.columns_in(bands_px)
    if len(columns) == 0:
        return NotMeasured("the implant is too narrow on this film to find its end")
    grey = strip.pixels[:, columns].mean(axis=1)
    if not strip.inside[strip.rows(near_px - 2, near_px + 2)][:, columns].all():
        return NotMeasured("the end of the implant is outside the film")
    slope = -toward * ndimage.gaussian_filter1d(grey, 1.5 / strip.step_px, order=1)
    search = max(SEARCH * strip.axis.length_px, SEARCH_PX)
    rows = strip.rows(near_px - search, near_px + search)
    off = strip.z_px[rows] - near_px - click_px * CLICKS[:, None]
    places = strip.z_px[rows][(slope[rows] * _click_prior(off, search)).argmax(axis=1)]
    place = float(places[len(CLICKS) // 2])
    depth = toward * (place - strip.z_px)
    near = np.abs(depth) <= END_REACH_PX
    order = np.argsort(depth[near])
    edge = fit_chord_edge(depth[near][order], grey[near][order])
    if not edge.offset_px:
        return edge.offset_px
    value = place + toward * edge.offset_px.value
    return from_parts(
        value,
        "px",
        edge=edge.offset_px.std,
        edge_model=END_MODEL_STD_PX,
        other_edge=_spread(places - place),
    )


def _spread(off_px: Floats) -> float:
    """Standard deviation of where moved marks lead; within an edge they lead to the same place."""
    return float(np.sqrt(np.mean(np.where(np.abs(off_px) > SAME_EDGE_PX, off_px, 0.0) ** 2)))


def _click_prior(off_px: Floats, search_px: float) -> Floats:
    """How much an edge counts, by how far off the mark it lies."""
    beyond = np.maximum(np.abs(off_px) - CLICK_PX, 0.0) / BEYOND_PX
    wide = np.exp(-0.5 * (off_px / search_px) ** 2)
    return np.asarray(np.maximum(np.exp(-0.5 * beyond**2), FAR_SHARE) * wide)


def find_tip(strip: Strip, outline: Outline, click_px: float = CLICK_STD_PX) -> Quantity:
    """Height of the apex tip, from the axis or, where the end is open, from the wall ends."""
    length = strip.axis.length_px
    middle, half = _middle(strip, outline)
    tip = find_end(strip, middle, near_px=length, toward=1.0, click_px=click_px)
    if tip:
        return tip
    rims = ((-0.95 * half, -0.6 * half), (0.6 * half, 0.95 * half))
    return find_end(strip, rims, near_px=length, toward=1.0, click_px=click_px)


def tip_stray(strip: Strip, outline: Outline, tip_px: float) -> float:
    """How often a tip so much alone on the axis is something else's."""
    return stray_chance(strip, _middle(strip, outline)[0], tip_px, toward=1.0)


def _middle(strip: Strip, outline: Outline) -> tuple[tuple[tuple[float, float]], float]:
    """The columns about the axis that lead to the tip, and half the body's width there."""
    length = strip.axis.length_px
    half = outline.width_between(0.7 * length, 0.92 * length) / 2
    return ((-0.25 * half, 0.25 * half),), half


def end_shape(
    outline: Outline, strip: Strip, *, tip_px: float, slant: Slant, background: float
) -> EndShape | None:
    """Shape of the end from the silhouette close to the tip; None where it does not stand out.

    Parameters
    ----------
    outline, strip
    tip_px : float
        Height of the tip.
    slant : Slant
        How likely every tilt of the beam is.
    background : float
        Grey beside the implant.
    """
    width = apical_width(outline, tip_px)
    seen = [
        _silhouette(strip, tip_px - depth * width, 0.02 * width, width, background)
        for depth in DEPTHS
    ]
    widths = np.array([np.nan if one is None else one / width for one in seen])
    if np.isfinite(widths).sum() < LEAST_WIDTHS:
        return None
    return read_end(widths, slant.folded(END_TILTS_DEG))


def apical_width(outline: Outline, tip_px: float) -> float:
    """Width of the outline above the end, px."""
    return outline.width_between(0.72 * tip_px, 0.85 * tip_px)


def apex_form(shape: EndShape | None, *, opened: float) -> Form:
    """Form of the end; `opened`: probability that it is open (from the gaps inside the body)."""
    if opened > 0.5:
        return Form("open", opened)
    if shape is None:
        return Form("not assessable", 1.0, "the apex does not stand out from the bone")
    state = max(shape.chances, key=lambda key: shape.chances[key])
    return Form(state, float(np.clip(shape.chances[state], 0.34, 0.95)))


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
