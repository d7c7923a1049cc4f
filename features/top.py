"""What stands above the platform."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from features.channel_mouth import FILLED
from features.finding import Form
from features.outline import Outline
from features.quantity import Quantity
from features.strip import Strip

Floats = NDArray[np.float64]

# All parts of the rim's width; they part what stands on simulated platforms (derived from films).
LOOKED = 0.6  # of the body's width: how far up
FOOT = 0.12  # of the rim's width: how far up a part's foot reaches
SLOPES = 0.03, 0.02  # lost over the lower and the upper half of a foot: a shoulder, not a shelf
LEVEL = 0.3  # of the metal's grey over what lies behind it: a hollow prism is no fuller
LEAST_HIGH = 0.08  # a tilted rim's ellipse stays below
SLOPE_HIGH, ELLIPSE_HIGH = 0.14, 0.20  # a shoulder's own slope; the ellipse of a far tilted rim
LONG_SLOPE = 0.36  # of 45 degrees, running far up
PRISM_HIGH, PRISM_WIDE = 0.30, (0.40, 0.90)
UPRIGHT = 0.6  # of the height of what is narrower than the rim, up which a prism stands
FULL = 0.86  # of the body's grey: fuller and wide, it is a low part that covers a channel …
SLIM = 0.72  # … which a narrower one could not
GAPPED = 0.6  # filled less: teeth, not the walls of a hollow prism
TINES_HIGH, TINES_WIDE = 0.38, 0.82
# gaps that open; or teeth of front and back one over another, higher than a shoulder's slope
OPEN_FILLED, OPEN_HIGH = 0.88, 0.14
TEETH_GREY, TEETH_HIGH = 0.66, 0.22
LOW = 0.22
CLOSED = 0.85  # that a filled mouth has a part on it (simulated: not once on an open one)
ALONG_ROWS = ((0, 0, 0), (1, 1, 1), (0, 0, 0))  # what touches left or right is one piece


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


@dataclass(frozen=True, slots=True)
class Silhouette:
    """Metal above the platform, row by row going up; lengths in rim widths.

    Attributes
    ----------
    wide : (N,) array
        From the outermost metal on the left to that on the right.
    filled : (N,) array
        Part of it that is metal.
    grey, across : (N,) array
        On the axis, and over most of the rim's width: 0 as behind the metal, 1 as in the body.
    step : float
        From row to row.
    """

    wide: Floats
    filled: Floats
    grey: Floats
    across: Floats
    step: float

    @property
    def height(self) -> float:
        """From the platform to the top."""
        return len(self.wide) * self.step

    def foot(self) -> float:
        """Width at the narrowest place near the rim, a few rows together; 0 where there is none."""
        near = self.wide[: max(round(FOOT / self.step), 1)]
        if not len(near):
            return 0.0
        rows = max(round(FOOT / self.step / 6), 1)
        return float(ndimage.uniform_filter1d(near, rows, mode="nearest").min())

    def slopes(self) -> bool:
        """Whether the metal narrows from the rim all the way up a foot."""
        low, middle, high = (
            self.wide[round(at / self.step) : max(round((at + 0.03) / self.step), 1)]
            for at in (0.0, FOOT / 2, FOOT)
        )
        if not (len(low) and len(middle) and len(high)):
            return False
        lost = np.median(low) - np.median(middle), np.median(middle) - np.median(high)
        return bool(lost[0] > SLOPES[0] and lost[1] > SLOPES[1])

    def narrower(self) -> NDArray[np.bool_]:
        """Rows of the longest unbroken stretch that keeps clear of the rim."""
        low, high = PRISM_WIDE
        labels, count = ndimage.label((self.wide > low - 0.05) & (self.wide < high))
        if not count:
            return np.zeros(len(self.wide), dtype=bool)
        sizes = ndimage.sum_labels(labels > 0, labels, np.arange(1, count + 1))
        return np.asarray(labels == 1 + int(np.argmax(sizes)))


def look_above(
    strip: Strip, outline: Outline, *, platform_px: float, beside: float, contrast: float
) -> Top:
    """Tell a bare platform, a prism, tines and something seated apart by the metal above.

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
    behind = min(beside, _behind(strip, rows, width))
    seen, rim = _silhouette(
        strip, rows, width, platform_px, behind=behind, body=beside + contrast - behind
    )
    wide = float(np.median(seen.wide)) * rim if len(seen.wide) else 0.0
    return Top(_form(seen), seen.height * rim, wide, seen.foot(), seen.slopes())


def with_mouth(above: Top, mouth: Quantity) -> Top:
    """What stands above, the mouth of the channel seen too: a filled one has a part on it.

    A low cover screw passes for the implant's own prism or for nothing, and yet fills the mouth.
    """
    bare = above.form.state in ("nothing", "male prism", "tines")
    if mouth != FILLED or not bare:
        return above
    return replace(above, form=Form("covered", CLOSED))


def _form(seen: Silhouette) -> Form:
    if seen.height < LEAST_HIGH:
        return Form("nothing", 0.9)
    if _is_prism(seen):
        return Form("male prism", 0.9)
    if _is_castellated(seen):
        return Form("tines", 0.85)
    if _is_own_slope(seen):
        return Form("nothing", 0.75)
    return Form("covered", 0.65 if seen.height < LOW else 0.93)


def _is_prism(seen: Silhouette) -> bool:
    """Low, upright and clear of the rim; a wide one is hollow, as its screw runs through it."""
    stem = seen.narrower()
    tall = stem.sum() * seen.step
    if seen.height > PRISM_HIGH or tall < max(LEAST_HIGH, UPRIGHT * seen.height):
        return False
    wide, filled = seen.wide[stem], float(seen.filled[stem].mean())
    hollow = float(np.median(seen.grey[stem])) < FULL or float(np.median(wide)) < SLIM
    return hollow and filled > GAPPED and _loss(wide) < tall


def _is_castellated(seen: Silhouette) -> bool:
    """Nearly as wide as the rim, with gaps between the teeth."""
    if seen.height > TINES_HIGH or float(np.median(seen.wide)) < TINES_WIDE:
        return False
    open_gaps = seen.height > OPEN_HIGH and float(seen.filled.mean()) < OPEN_FILLED
    return open_gaps or (seen.height > TEETH_HIGH and float(seen.across.mean()) < TEETH_GREY)


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


def _behind(strip: Strip, rows: slice, width: float) -> float:
    """Grey behind what stands above the platform."""
    above = strip.pixels[rows, strip.columns(-1.1 * width, 1.1 * width)]
    return float(np.percentile(above, 30))


def _silhouette(
    strip: Strip, rows: slice, width: float, platform_px: float, *, behind: float, body: float
) -> tuple[Silhouette, float]:
    """The metal above the platform and, in px, the rim's width.

    `behind` is the grey behind it, and `body` how far the body stands out from that.
    """
    below = strip.rows(platform_px + 0.03 * width, platform_px + 0.1 * width)
    level = behind + LEVEL * body
    rim = float(np.median(_spans(strip, below, level, width)[0]))
    rim = rim if rim > 0.5 * width else width
    wide, filled = _spans(strip, rows, level, rim)
    grey, across = (
        (strip.pixels[rows, strip.columns(-part * rim, part * rim)] - behind) / max(body, 1e-6)
        for part in (0.15, 0.4)
    )
    last = _unbroken(wide[::-1], rim, strip.step_px)
    up = slice(None, -last - 1, -1) if last < len(wide) else slice(None, None, -1)
    step = strip.step_px / rim
    return Silhouette(
        wide[up] / rim, filled[up], np.median(grey, axis=1)[up], across.mean(axis=1)[up], step
    ), rim


def _spans(strip: Strip, rows: slice, level: float, width: float) -> tuple[Floats, Floats]:
    """Reach of the metal in each row, px, and the part of it that is metal.

    Pieces count that come near the axis: a tooth beside does not.
    """
    reach = strip.columns(-0.8 * width, 0.8 * width)
    near = np.abs(strip.t_px[reach]) < 0.42 * width
    pieces, count = ndimage.label(strip.pixels[rows, reach] > level, structure=ALONG_ROWS)
    kept = np.zeros(count + 1, dtype=bool)
    kept[pieces[:, near]] = True
    kept[0] = False
    metal = kept[pieces]
    size = metal.shape[1]
    span = np.where(metal.any(axis=1), size - metal.argmax(1) - metal[:, ::-1].argmax(1), 0)
    return span * strip.step_px, metal.sum(axis=1) / np.maximum(span, 1)


def _unbroken(wide: Floats, rim: float, step_px: float) -> int:
    """Rows until the metal ends; a thin dark joint line does not end it."""
    gap = max(int(0.06 * rim / step_px), 2)
    last = 0
    for index, width in enumerate(wide):
        if width > 0.2 * rim:
            last = index + 1
        elif index - last > gap:
            break
    return last
