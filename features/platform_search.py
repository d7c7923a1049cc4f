"""Where on a run of metal the platform lies: at its open top, or hidden below what is seated."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from features.marks import Joint
from features.outline import Outline
from features.platform_edges import CLEAR, Edges, crest_px, edges_along
from features.strip import Strip

Floats = NDArray[np.float64]

# All heights are in half widths of the body; found on simulated films.
BARE = 3.0  # metal ending no farther above the bone's crest carries no crown
COLLAR = 2.2  # a platform stands at most so far above the crest …
SUNK = 0.35  # … and at most so far below it
ABOVE_CREST, ABOVE_CREST_STD = 0.4, 0.6  # where a platform without a collar usually stands
TAIL = 3.0  # its tail, as of Student's t: some stand much higher
HIDDEN_ABOVE_CREST = 1.2  # the same where nothing of the joint is seen: high, or it would show
WITH_MARGIN = 0.32  # … and where a crown's margin is seen
# how far off the guesses are, in half widths: at least two in three within (94 simulated films)
COVERED_STD, SHOULDER_STD, CROWN_END_STD, MARGIN_STD, UNSEEN_STD = 0.4, 0.12, 0.35, 0.7, 0.9
MARGIN_ABOVE = 0.87  # from a joint that is not seen up to the crown's margin
SHOULDER = (0.12, 0.75)  # below the top: an index or a cover is so tall …
TALLER = 2.5  # … and a healing part, where the body below is wider at once and no thread begins
SECOND = 0.55  # of the top's own edge: weaker edges are threads
COVER = 0.4  # usual height of a cover screw's head …
BEVEL = 0.3  # … and of a flared collar's bevel
TALL, TALLEST = 1.7, 2.75  # a top this far above the crest may cap a flared collar
STANDS_OUT = 1.2  # a cover that ends farther above the crest is no cover screw's head alone
LOW = 0.95  # a wide top no farther above the crest leaves no room for a cover below it
COVERED_ABOVE_CREST = 0.55
FLUSH = 0.115  # of the body's contrast: a crown's margin that does not overhang
FLARED = 1.07  # a collar's width against the body's
HOLLOW = 0.03  # of the body's contrast: how much darker an open channel is at its mouth
LIKELY = 0.16  # the same, times how usual its height is …
RAISED, RAISED_FLARE, HIGHEST = 0.35, 1.05, 5.5  # … on a collar wider than the body, so far up
FLANGE = 1.2  # a part on top may have a shoulder of its own so far above the platform's
FAINT = 0.03  # a step of grey across the whole body


@dataclass(frozen=True, slots=True)
class Place:
    """Height of the platform on the strip, px, how it was told, and its std in half widths."""

    z_px: float
    joint: Joint
    note: str
    std: float = 0.04


def find_platform(strip: Strip, walls: Outline) -> Place:
    """Find the platform on a strip whose rows start above the run of metal and end below it."""
    edges = edges_along(strip, walls)
    half = edges.half_px
    crest = crest_px(strip, half)
    if crest < BARE * half and _is_dark_above(strip, edges):
        return _bare(strip, edges, crest)
    return _crowned(edges, crest)


def _is_dark_above(strip: Strip, edges: Edges) -> bool:
    """Nothing bright stands above the run of metal."""
    half = edges.half_px
    above, below = (
        float(np.median(strip.pixels[strip.rows(*rows), strip.columns(-0.6 * half, 0.6 * half)]))
        for rows in ((-0.8 * half, -0.4 * half), (0.3 * half, 0.8 * half))
    )
    return above < below - 0.5 * edges.contrast


def _bare(strip: Strip, edges: Edges, crest: float) -> Place:
    """Nothing but an index or a cover stands above the platform."""
    half = edges.half_px
    tops = edges.peaks("shoulder", -0.6 * half, 0.6 * half, 0.3)
    if not tops:
        return Place(0.0, "guessed", "the top of the metal is not sharp", SHOULDER_STD)
    row = max(tops, key=lambda r: edges.shoulder[r])
    tops = [r for r in tops if edges.shoulder[r] > SECOND * edges.shoulder[row]]
    top = float(edges.z_px[tops[0]])
    least = SECOND * float(edges.shoulder[tops[0]])
    below = _shoulder_below(edges, top, crest, least)
    if below is not None and _is_usual(edges, float(edges.z_px[below]), crest):
        return Place(float(edges.z_px[below]), "seen", "")
    wall = float(np.interp(top + 0.05 * half, edges.z_px, edges.wall_px))
    if _is_usual(edges, top, crest) and _is_hollow(strip, edges, top, wall):
        return Place(_rim_px(strip, top, wall), "seen", "")
    if crest - top < LOW * half:
        note = "no channel is seen at the top: check that nothing covers the platform"
        return Place(_rim_px(strip, top, wall), "guessed", note, SHOULDER_STD)
    note = "something covers the platform: its joint was guessed below that"
    return Place(_below_cover_px(edges, top, crest), "guessed", note, COVERED_STD)


def _shoulder_below(edges: Edges, top: float, crest: float, least: float) -> int | None:
    """Row of the clearest shoulder below an index, a cover or a healing part."""
    half = edges.half_px
    low, high = (top + part * half for part in SHOULDER)
    lowest = crest + SUNK * half
    near = edges.peaks("shoulder", low, min(high, lowest), least)
    far = edges.peaks("shoulder", high, min(top + TALLER * half, lowest), least)
    near = near or edges.peaks("shoulder", low, min(high, lowest), CLEAR)
    near = [r for r in near if edges.shoulder[r] > least or edges.is_across(r)]
    rows = near or [row for row in far if edges.broadens(row) and edges.is_plain(top, row)]
    return max(rows, key=lambda r: edges.shoulder[r], default=None)


def _is_usual(edges: Edges, z_px: float, crest: float) -> bool:
    """A platform stands near the bone, or on a flared collar; a healing part on neither."""
    near = crest - z_px < STANDS_OUT * edges.half_px
    return near or edges.flare(z_px + COVER * edges.half_px, crest) > FLARED


def _below_cover_px(edges: Edges, top: float, crest: float) -> float:
    """Height of a platform below a cover screw's head, a capped collar or a healing part."""
    half = edges.half_px
    tall = (crest - top) / half
    if TALL < tall < TALLEST and edges.flare(top + COVER * half, crest) > FLARED:
        return top + (COVER + BEVEL) * half
    if tall < STANDS_OUT:
        return top + COVER * half
    step = _step_near_bone_px(edges, crest, below_px=top + SHOULDER[0] * half)
    return crest - COVERED_ABOVE_CREST * half if step is None else step


def _is_hollow(strip: Strip, edges: Edges, top: float, wall: float) -> bool:
    """An open channel is darker at its mouth than the metal to both sides."""
    rows = strip.rows(top + 0.1 * wall, top + 0.4 * wall)
    middle = float(np.median(strip.pixels[rows, strip.columns(-0.25 * wall, 0.25 * wall)]))
    sides = [
        float(np.median(strip.pixels[rows, strip.columns(*part)]))
        for part in ((-0.85 * wall, -0.65 * wall), (0.65 * wall, 0.85 * wall))
    ]
    return middle < min(sides) - HOLLOW * edges.contrast


def _rim_px(strip: Strip, top: float, wall: float) -> float:
    """Height of the rim itself, outside on a shoulder that slopes."""
    rows = strip.rows(top - 0.1 * wall, top + 0.4 * wall)
    slope = ndimage.gaussian_filter1d(strip.pixels, 1.5 / strip.step_px, axis=0, order=1)[rows]

    def height(low: float, high: float) -> float:
        high = max(high, low + 2 * strip.step_px / wall)  # a column at least
        parts = (strip.columns(-high * wall, -low * wall), strip.columns(low * wall, high * wall))
        places = [int(slope[:, part].mean(axis=1).argmax()) for part in parts]
        return float(np.mean(strip.z_px[rows][places]))

    inner, outer = height(0.75, 0.85), height(0.88, 0.97)
    run_out = (1.0 - 0.925) / (0.925 - 0.80)  # from the middles of the two parts to the wall
    return outer + run_out * float(np.clip(outer - inner, 0.0, 0.2 * wall))


def _crowned(edges: Edges, crest: float) -> Place:
    """An abutment or a crown hides the joint, or shows a narrower post above it."""
    step = _step_near_bone_px(edges, crest)
    if step is None:
        return _below_margin(edges, crest)
    note = "the platform was taken where something narrower stands on a wider body"
    return Place(step, "guessed", note, SHOULDER_STD)


def _step_near_bone_px(edges: Edges, crest: float, *, below_px: float = -math.inf) -> float | None:
    """Height of the clearest step outward, going down, at a usual height above the bone."""
    half = edges.half_px
    highest = max(crest - HIGHEST * half, below_px)
    shoulders = edges.peaks("shoulder", highest, crest + SUNK * half, CLEAR)
    likely = {row: _likely(edges, row, crest) for row in shoulders}
    row = max(shoulders, key=lambda r: likely[r], default=0)
    if not shoulders or likely[row] < LIKELY:
        return None
    at = float(edges.z_px[row])
    lower = [r for r in shoulders if at < edges.z_px[r] < min(at + FLANGE * half, crest)]
    lower = [r for r in lower if edges.is_plain(at, r) and likely[r] > LIKELY]
    return float(edges.z_px[lower[0] if lower else row])


def _likely(edges: Edges, row: int, crest: float) -> float:
    """How much a shoulder looks like the platform's: clear, and at a usual height above bone."""
    half, at = edges.half_px, float(edges.z_px[row])
    up = (crest - at) / half
    usual = 1 / (1 + ((up - ABOVE_CREST) / ABOVE_CREST_STD) ** 2 / TAIL)
    if up > COLLAR:
        usual = 0.0
    if at > FLANGE * half and edges.flare(at, crest) > RAISED_FLARE and edges.broadens(row):
        usual = max(usual, RAISED)
    return float(edges.shoulder[row]) * usual


def _is_flush(edges: Edges, row: int) -> bool:
    """Nothing overhangs the walls here."""
    near = np.abs(edges.z_px - edges.z_px[row]) < 0.2 * edges.half_px
    return float(edges.outside[near].max()) < FLUSH


def _below_margin(edges: Edges, crest: float) -> Place:
    """The joint is not seen: take a flared collar's end, or guess from crown margin and bone."""
    half = edges.half_px
    low, high = crest - COLLAR * half, crest - 0.5 * half
    steps = [
        row
        for row in edges.peaks("across", low, high, FAINT)
        if edges.flare(float(edges.z_px[row]), crest) > FLARED and _is_flush(edges, row)
    ]
    if steps:
        clear = max(edges.across[row] for row in steps)
        row = [row for row in steps if edges.across[row] > 0.6 * clear][-1]
        note = "the platform was taken where the crown ends"
        return Place(float(edges.z_px[row]), "guessed", note, CROWN_END_STD)
    margins = edges.peaks("outside", low, high, 0.1)
    if not margins:
        note = "no joint is seen: the platform was guessed from the crest of the bone"
        return Place(crest - HIDDEN_ABOVE_CREST * half, "hidden", note, UNSEEN_STD)
    row = max(margins, key=lambda r: edges.outside[r])
    below_margin = float(edges.z_px[row]) + MARGIN_ABOVE * half
    note = "the joint is not seen: the platform was guessed from the crown's margin and the bone"
    place = (below_margin + crest - WITH_MARGIN * half) / 2
    return Place(place, "hidden", note, MARGIN_STD)
