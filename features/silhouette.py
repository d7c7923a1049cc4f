"""The metal above the platform, row by row: how wide it is, how full, how bright."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from features.strip import Strip

Floats = NDArray[np.float64]

# All parts of the rim's width; they part what stands on simulated platforms (derived from films).
FOOT = 0.12  # of the rim's width: how far up a part's foot reaches
SLOPES = 0.03, 0.02  # lost over the lower and the upper half of a foot: a shoulder, not a shelf
LEVEL = 0.3  # of the metal's grey over what lies behind it: a hollow prism is no fuller
PRISM_WIDE = (0.40, 0.90)
UPRIGHT_WIDE, SAME_WIDTH = (0.38, 0.88), 0.02  # what stands upright; how much its rows may differ
ALONG_ROWS = ((0, 0, 0), (1, 1, 1), (0, 0, 0))  # what touches left or right is one piece


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
        low = len(self.wide) // 2  # a cover screw's own edge is no foot
        near = self.wide[: max(min(round(FOOT / self.step), low), 1)]
        if not len(near):
            return 0.0
        rows = max(round(FOOT / self.step / 6), 1)
        return float(ndimage.uniform_filter1d(near, rows, mode="nearest").min())

    def slopes(self) -> bool:
        """Whether the metal narrows from the rim all the way up a foot.

        A low part's own edge is rounded off that near the rim, and says nothing of a shoulder.
        """
        if self.height < 2 * FOOT:
            return False
        low, middle, high = (
            self.wide[round(at / self.step) : max(round((at + 0.03) / self.step), 1)]
            for at in (0.0, FOOT / 2, FOOT)
        )
        if not (len(low) and len(middle) and len(high)):
            return False
        lost = np.median(low) - np.median(middle), np.median(middle) - np.median(high)
        return bool(lost[0] > SLOPES[0] and lost[1] > SLOPES[1])

    def upright(self) -> slice:
        """Rows of the longest stretch that keeps one width, clear of the rim."""
        longest, (low, high) = slice(0, 0), UPRIGHT_WIDE
        for first in np.flatnonzero((self.wide > low) & (self.wide < high)):
            rest = self.wide[first:]
            keeps = np.maximum.accumulate(rest) - np.minimum.accumulate(rest) <= SAME_WIDTH
            rows = len(rest) if keeps.all() else int(np.argmin(keeps))
            if rows > longest.stop - longest.start:
                longest = slice(int(first), int(first) + rows)
        return longest

    def narrower(self) -> NDArray[np.bool_]:
        """Rows of the longest unbroken stretch that keeps clear of the rim."""
        low, high = PRISM_WIDE
        labels, count = ndimage.label((self.wide > low - 0.05) & (self.wide < high))
        if not count:
            return np.zeros(len(self.wide), dtype=bool)
        sizes = ndimage.sum_labels(labels > 0, labels, np.arange(1, count + 1))
        return np.asarray(labels == 1 + int(np.argmax(sizes)))


def grey_behind(strip: Strip, rows: slice, width: float) -> float:
    """Grey behind what stands above the platform."""
    above = strip.pixels[rows, strip.columns(-1.1 * width, 1.1 * width)]
    return float(np.percentile(above, 30))


def silhouette(
    strip: Strip, rows: slice, width: float, platform_px: float, *, behind: float, body: float
) -> tuple[Silhouette, float]:
    """The metal above the platform and, in px, the rim's width.

    `behind` is the grey behind it, and `body` how far the body stands out from that.
    """
    from_px = platform_px + 0.03 * width
    below = strip.rows(from_px, from_px + max(0.07 * width, strip.step_px))  # one row at least
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
