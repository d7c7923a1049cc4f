"""What stands above the platform."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from features import heads
from features.channel_mouth import FILLED
from features.finding import Form
from features.outline import Outline
from features.quantity import Quantity
from features.silhouette import PRISM_WIDE, Silhouette, grey_behind, silhouette
from features.strip import Strip

Floats = NDArray[np.float64]

# All parts of the rim's width; they part what stands on simulated platforms (derived from films).
LOOKED = 0.6  # of the body's width: how far up
LEAST_HIGH = 0.08  # a tilted rim's ellipse stays below
SLOPE_HIGH, ELLIPSE_HIGH = 0.14, 0.20  # a shoulder's own slope; the ellipse of a far tilted rim
LONG_SLOPE = 0.36  # of 45 degrees, running far up
PRISM_HIGH = 0.30
UPRIGHT = 0.6  # of the height of what is narrower than the rim, up which a prism stands
FULL = 0.86  # of the body's grey: fuller and wide, it is a low part that covers a channel …
SLIM = 0.72  # … which a narrower one could not
GAPPED = 0.6  # filled less: teeth, not the walls of a hollow prism
TINES_HIGH, TINES_WIDE = 0.38, 0.82
# gaps that open; or teeth of front and back one over another, higher than a shoulder's slope
OPEN_FILLED, OPEN_HIGH = 0.88, 0.14
TEETH_GREY, TEETH_HIGH = 0.66, 0.22
# so dark is the middle of no low part (simulated: 0.75 at least), and so high are hollow ones
HOLLOW, HOLLOW_HIGH = 0.72, (0.12, 0.33)
# one width kept over so much height and so many rows, by what is no higher: neither an ellipse nor
# a shoulder does
STANDS, STANDS_ROWS, STANDS_HIGH = 0.03, 6, 0.33
LOW = 0.22
BARE = ("nothing", "male prism", "tines")
CLOSED = 0.85  # that a filled mouth has a part on it (simulated: not once on an open one)


@dataclass(frozen=True, slots=True)
class Top:
    """The form above the platform and, in px, how tall and wide it is.

    `foot` is the width of what stands there at its narrowest near the platform, in rim widths;
    `sloping`, whether it narrows steadily from the rim on, as a shoulder does.
    """

    form: Form
    height_px: float
    width_px: float
    foot: float = 0.0
    sloping: bool = False

    @property
    def covered(self) -> float:
        """Probability that something is seated on the platform."""
        return self.form.probability if self.form.state == "covered" else 0.1


def look_above(
    strip: Strip, outline: Outline, *, platform_px: float, beside: float, contrast: float
) -> Top:
    """Tell what belongs to the implant above its platform from what is seated on it.

    Parameters
    ----------
    strip, outline
    platform_px : float
        Height of the platform on the strip (about 0).
    beside, contrast : float
        Grey beside the body, and how far the body stands out from it.
    """
    rows = strip.rows(-LOOKED * outline.typical_width_px, platform_px - 2.0)
    if rows.stop - rows.start < 4 or not strip.inside[rows, strip.columns(-2, 2)].all():
        why = "the top of the film ends at the platform"
        return Top(Form("not assessable", 1.0, why), 0.0, 0.0)
    width = outline.typical_width_px
    behind = min(beside, grey_behind(strip, rows, width))
    body = beside + contrast - behind
    seen, rim = silhouette(strip, rows, width, platform_px, behind=behind, body=body)
    wide = float(np.median(seen.wide)) * rim if len(seen.wide) else 0.0
    form = form_of(seen)
    if form.state == "covered":
        rows = _all_above(strip, rows.stop)
        tall, _ = silhouette(strip, rows, width, platform_px, behind=behind, body=body)
        form = heads.head_form(tall) or form
    return Top(form, seen.height * rim, wide, seen.foot(), seen.slopes())


def _all_above(strip: Strip, platform_row: int) -> slice:
    """Rows from the top of the film, or of the strip, down to the platform."""
    outside = ~strip.inside[:platform_row, strip.columns(-2, 2)].all(axis=1)
    return slice(int(np.flatnonzero(outside)[-1]) + 1 if outside.any() else 0, platform_row)


def with_mouth(above: Top, mouth: Quantity) -> Top:
    """What stands above, the mouth of the channel seen too: a filled one has a part on it.

    A low cover screw passes for the implant's own prism or for nothing, and yet fills the mouth.
    """
    return _closed(above) if mouth == FILLED else above


def with_screw(above: Top, *, screw: bool) -> Top:
    """What stands above, a screw seen inside: there is none in a body left open."""
    return _closed(above) if screw else above


def _closed(above: Top) -> Top:
    return replace(above, form=Form("covered", CLOSED)) if above.form.state in BARE else above


def form_of(seen: Silhouette) -> Form:
    """Name what stands above the platform by its silhouette."""
    if seen.height < LEAST_HIGH:
        return Form("nothing", 0.9)
    if _is_prism(seen):
        return Form("male prism", 0.9)
    if _is_castellated(seen):
        return Form("tines", 0.85)
    return _standing(seen) or _slope_or_part(seen)


def _slope_or_part(seen: Silhouette) -> Form:
    if _is_own_slope(seen):
        return Form("nothing", 0.75)
    if _is_hollow(seen):
        return Form("male prism" if seen.narrower().mean() > UPRIGHT else "tines", 0.75)
    return Form("covered", 0.65 if seen.height < LOW else 0.93)


def _is_prism(seen: Silhouette) -> bool:
    """Low, upright and clear of the rim; a wide one is hollow, as its screw runs through it."""
    stem = seen.narrower()
    tall = stem.sum() * seen.step
    if seen.height > PRISM_HIGH or tall < max(LEAST_HIGH, UPRIGHT * seen.height):
        return False
    return _lets_a_screw_through(seen, stem) and _loss(seen.wide[stem]) < tall


def _lets_a_screw_through(seen: Silhouette, rows: NDArray[np.bool_] | slice) -> bool:
    """Whether rows are a hollow prism's: not full, or too slim for a cover; and no teeth."""
    grey, wide = float(np.median(seen.grey[rows])), float(np.median(seen.wide[rows]))
    return (grey < FULL or wide < SLIM) and float(seen.filled[rows].mean()) > GAPPED


def _standing(seen: Silhouette) -> Form | None:
    """What stands upright on a rim whose own ellipse or shoulder hides its foot."""
    if seen.height > STANDS_HIGH:
        return None
    rows = seen.upright()
    many = rows.stop - rows.start
    if many < STANDS_ROWS or many * seen.step < STANDS:
        return None
    if _lets_a_screw_through(seen, rows):
        return Form("male prism", 0.75)
    return Form("covered", 0.65) if float(np.median(seen.grey[rows])) >= FULL else None


def _is_castellated(seen: Silhouette) -> bool:
    """Nearly as wide as the rim, with gaps between the teeth."""
    if seen.height > TINES_HIGH or float(np.median(seen.wide)) < TINES_WIDE:
        return False
    open_gaps = seen.height > OPEN_HIGH and float(seen.filled.mean()) < OPEN_FILLED
    return open_gaps or (seen.height > TEETH_HIGH and float(seen.across.mean()) < TEETH_GREY)


def _is_hollow(seen: Silhouette) -> bool:
    """Low walls about an empty middle: what is seated is full on the axis, a screw runs in it."""
    if not HOLLOW_HIGH[0] < seen.height < HOLLOW_HIGH[1]:
        return False
    return float(np.median(seen.grey[: max(len(seen.grey) * 3 // 4, 1)])) < HOLLOW


def _is_own_slope(seen: Silhouette) -> bool:
    """The rim's ellipse or a shoulder's own slope, running from the rim steadily inward.

    A bevel of 45 degrees loses twice its height in width; a part with a broken edge far less.
    """
    bottom, top = _ends(seen.wide)
    if bottom < PRISM_WIDE[0] * 2:
        return False
    if seen.height < SLOPE_HIGH:
        return True
    if seen.height < ELLIPSE_HIGH and top < 0.75 * bottom:
        return True
    return seen.height < LONG_SLOPE and bottom - top > seen.height


def _loss(wide: Floats) -> float:
    """Width lost between the middle of the lower and of the upper half."""
    half = max(len(wide) // 2, 1)
    return float(np.median(wide[:half]) - np.median(wide[-half:]))


def _ends(wide: Floats) -> tuple[float, float]:
    """Width of the lowest and of the highest quarter."""
    part = max(len(wide) // 4, 1)
    return float(np.median(wide[:part])), float(np.median(wide[-part:]))
