"""What stands above the platform."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from features.finding import Form
from features.outline import Outline
from features.strip import Strip

Floats = NDArray[np.float64]

ALONG_ROWS = np.array([[0, 0, 0], [1, 1, 1], [0, 0, 0]])  # neighbours that belong to one run


@dataclass(frozen=True, slots=True)
class Top:
    """The form above the platform and, in px, how tall and wide it is."""

    form: Form
    height_px: float
    width_px: float

    @property
    def covered(self) -> float:
        """Probability that something is seated on the platform."""
        return self.form.probability if self.form.state == "covered" else 0.1


def look_above(
    strip: Strip, outline: Outline, *, platform_px: float, beside: float, contrast: float
) -> Top:
    """Tell nothing, a short male prism and something seated apart, by height and width of metal.

    Parameters
    ----------
    strip, outline
    platform_px : float
        Height of the platform on the strip (about 0).
    beside, contrast : float
        Grey beside the body, and how far the body stands out from it.
    """
    width = outline.typical_width_px
    runs = _bright_runs(strip, platform_px, width, beside=beside, contrast=contrast)
    if runs is None:
        why = "the top of the film ends at the platform"
        return Top(Form("not assessable", 1.0, why), 0.0, 0.0)
    height = _unbroken(runs, width) * strip.step_px
    if height < max(0.06 * width, 3.0):
        return Top(Form("nothing", 0.9), height, 0.0)
    rows = max(int(0.7 * height / strip.step_px), 1)
    wide = float(np.median(runs[:rows]))
    shoulder = runs[: max(int(height / strip.step_px), 4)]
    if height < 0.36 * width and _is_bevel(shoulder, width, height):
        return Top(Form("nothing", 0.75), height, wide)
    if height < 0.36 * width and 0.42 * width < wide < 0.86 * width:
        return Top(Form("male prism", 0.8), height, wide)
    if height < 0.22 * width:
        return Top(Form("covered", 0.65), height, wide)
    return Top(Form("covered", 0.93), height, wide)


def _bright_runs(
    strip: Strip, platform_px: float, width: float, *, beside: float, contrast: float
) -> Floats | None:
    """Width of metal on the axis in each row, going up from the platform."""
    rows = strip.rows(-0.6 * width, platform_px - 2.0)
    if rows.stop - rows.start < 4 or not strip.inside[rows, strip.columns(-2, 2)].all():
        return None
    above = strip.pixels[rows, strip.columns(-1.1 * width, 1.1 * width)]
    level = min(beside, float(np.percentile(above, 30))) + 0.5 * contrast
    centre = above.shape[1] // 2
    reach = max(int(0.2 * width / strip.step_px), 1)
    labels, _ = ndimage.label((above > level)[::-1], ALONG_ROWS)
    sizes = np.bincount(labels.ravel())
    sizes[0] = 0  # no metal on the axis
    runs: Floats = sizes[labels[:, centre - reach : centre + reach + 1].max(axis=1)] * strip.step_px
    return runs


def _is_bevel(runs: Floats, width: float, height: float) -> bool:
    """A shoulder's own slope runs from the rim steadily inward; a prism stands straight.

    A bevel of 45 degrees loses twice its height in width; a part with a broken edge far less.
    """
    part = max(len(runs) // 4, 1)
    bottom, top = float(np.median(runs[:part])), float(np.median(runs[-part:]))
    return bottom > 0.86 * width and (top < 0.88 * bottom or bottom - top > height)


def _unbroken(runs: Floats, width: float) -> int:
    """Rows until the metal ends; a thin dark joint line does not end it."""
    gap = max(int(0.06 * width), 2)
    last = 0
    for index, run in enumerate(runs):
        if run > 0.2 * width:
            last = index + 1
        elif index - last > gap:
            break
    return last
