"""The post or ball of a one-piece body, told from a part on a platform by its outline alone.

A ball swells above its neck and closes; a post narrows straight from its foot. An abutment swells
first, to the margin of its crown, a healing part stays wide up to its edge, and a crown ends wide.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from features.finding import Form
from features.silhouette import Silhouette

Floats = NDArray[np.float64]

# Lengths in rim widths; they part what stands on simulated platforms (derived from films).
LEAST_HIGH = 0.45  # lower ones are prisms and cover screws
ROUNDED = 0.08  # up which a collar's own rounding reaches
SWELLS = 1.3  # a ball over its neck, the neck being about six tenths of it
CLOSES = 0.9  # of its widest, where it ends
LEVEL, AS_WIDE = 0.5, 0.97  # share of rows a healing part keeps its full width over; a ball less
WIDEST = 1.12  # wider than that it is a crown
NARROWS = 0.035, 0.5  # of its height that a post loses in width, least and most
STRAIGHT = 0.013  # that nine in ten of a post's rows keep to a line within
SLIMMEST = 0.3
BRIGHTER = 1.06  # of the body's grey: a crown of denser metal
HOLLOW = 0.07  # lost on the axis over …
HOLLOW_OVER = 0.15  # … this height: where the access to a screw begins
FEWEST_ROWS = 10


def head_form(seen: Silhouette) -> Form | None:
    """Form of a head in one piece with the body; None where it is none.

    Parameters
    ----------
    seen : Silhouette
        As far up as the film goes.
    """
    if seen.height < LEAST_HIGH:
        return None
    from_row = max(round(ROUNDED / seen.step), 1)
    above, grey = seen.wide[from_row:], seen.grey[from_row:]
    if len(above) < FEWEST_ROWS or float(above.max()) > WIDEST:
        return None
    if float(np.median(grey[len(grey) // 2 :])) > BRIGHTER:
        return None
    if _is_ball(above):
        return Form("ball", 0.9)
    shaft = above[: _shaft_rows(above)]
    hollow = _loses(grey[: len(shaft)], seen.step) > HOLLOW
    return Form("post", 0.9) if _is_post(shaft, seen.step) and not hollow else None


def _is_ball(above: Floats) -> bool:
    neck = int(np.argmin(above[: len(above) * 9 // 10]))
    ball = above[neck:]
    widest = float(ball.max())
    return (
        above[neck] > 0
        and widest > SWELLS * float(above[neck])
        and float(ball[-1]) < CLOSES * widest
        and float(np.mean(ball > AS_WIDE * widest)) < LEVEL
    )


def _shaft_rows(above: Floats) -> int:
    """Rows up to where it rounds off or the film ends."""
    last = len(above) * 17 // 20
    return last if above[-1] < CLOSES * float(above[last:].max()) else len(above)


def _is_post(shaft: Floats, step: float) -> bool:
    """Whether it narrows along a straight line."""
    up = np.arange(len(shaft)) * step
    slope, foot = np.polyfit(up, shaft, 1)
    off = np.abs(shaft - (slope * up + foot))
    least, most = NARROWS
    return (
        least < -slope < most
        and float(np.quantile(off, 0.9)) < STRAIGHT
        and float(shaft.min()) > SLIMMEST
        and float(np.median(shaft)) < 1.0
    )


def _loses(grey: Floats, step: float) -> float:
    """Most grey lost on the axis over a short height."""
    over = max(round(HOLLOW_OVER / step), 1)
    return float(np.max(grey[:-over] - grey[over:])) if len(grey) > over else 0.0
