"""Rows of small holes through the wall of a hollow: dark spots on level after level.

Each level holds two or three of them side by side, front and back, with sound metal between the
levels. The turns of a channel's thread and the rims of a large hole make dark spots too, but those
lie close below each other, or on one level alone.
"""

from __future__ import annotations

import numpy as np

from features.finding import Finding
from features.gaps import TOO_FAINT, GapMap, dark_spots
from features.strip import Strip

FROM = 0.4  # of the length: a hollow with rows of holes lies in the lower part
# of the body width: spots so near each other along the axis are of one level, one that is taller is
# none, and its spots lie so far apart across (simulated)
LEVEL, TALLEST, APART = 0.2, 0.2, 0.25
LEVELS = 2
PROBABILITY = 0.9  # of either answer (a judgement)


def perforations_finding(*, holed: bool, faint: bool) -> Finding:
    """Present, absent or not assessable: what `perforated` said, on a body that may be faint."""
    if holed:
        return Finding("present", PROBABILITY)
    if faint:  # rows of holes in a hollow stand out even between coarse bone
        return Finding("not assessable", 1.0, TOO_FAINT)
    return Finding("absent", PROBABILITY)


def perforated(strip: Strip, gaps: GapMap, *, tip_px: float, width_px: float) -> bool:
    """Whether spots lie side by side on several levels."""
    z, t = dark_spots(strip, gaps, width_px=width_px, from_px=FROM * tip_px)
    levels = np.split(np.arange(len(z)), np.flatnonzero(np.diff(z) > LEVEL * width_px) + 1)
    rows = [
        level
        for level in levels
        if len(level) > 1
        and np.ptp(z[level]) < TALLEST * width_px
        and np.ptp(t[level]) > APART * width_px
    ]
    return len(rows) >= LEVELS
