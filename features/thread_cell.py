"""Crest and root of a thread from one mean turn, so that blur does not eat the crest's tip.

All turns in the zone are laid over each other (one pitch tall); a ridge model is blurred like the
film and fitted to that mean picture. A crest is a thin ridge: averaging rows and looking for an
edge reads it too narrow.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from features.edges import CLIPPED
from features.quantity import NotMeasured, Quantity, from_parts
from features.ridge import PHASES, Turn, ridge_shape
from features.shape_fit import Fit, Picture, fit_shape
from features.strip import Strip

Floats = NDArray[np.float64]

LINEAR_RANGES = (20.0, 3.0, 0.1)  # of A, c0 and c1 (per px): more is no film's
# Of the parameters blur alone has a usual value: a soft fit finds crests far outside, one film is
# sharp all over. It weighs, for each px off, as this much grey (simulated).
BLUR_PX, BLUR_FIRM = 1.4, 0.13
USUAL, FIRM = np.zeros(11), np.zeros(11)
USUAL[7], FIRM[7] = BLUR_PX, BLUR_FIRM
ENOUGH, MOST_STEPS = 3e-4, 25


@dataclass(frozen=True, slots=True)
class Cell:
    """One wall's thread.

    Attributes
    ----------
    crest_px, root_px : Measured in px, or NotMeasured
        Outward from the smooth line the turns were laid along.
    blur_px : float
    misfit : float
        Part of the turn's grey that the fit leaves over.
    """

    crest_px: Quantity
    root_px: Quantity
    blur_px: float
    misfit: float = 1.0

    @property
    def depth(self) -> Quantity:
        """Crest over root, px: as sure as the root."""
        if not self.crest_px or not self.root_px:
            return self.root_px if self.crest_px else self.crest_px
        return replace(self.root_px, value=self.crest_px.value - self.root_px.value)

    @property
    def depth_px(self) -> float:
        """The same as a number, 0 where either is not known."""
        if not self.crest_px or not self.root_px:
            return 0.0
        return max(self.crest_px.value - self.root_px.value, 0.0)

    def moved(self, outward_px: float) -> Cell:
        """The same as seen from a line that lies so much farther inward."""
        crest, root = (
            replace(edge, value=edge.value + outward_px) if edge else edge
            for edge in (self.crest_px, self.root_px)
        )
        return replace(self, crest_px=crest, root_px=root)


def fold(
    strip: Strip, z_px: Floats, line_px: Floats, *, side: float, pitch_px: float, reach_px: float
) -> tuple[Floats, Floats]:
    """Lay all turns over each other.

    Parameters
    ----------
    strip : Strip
    z_px, line_px : (N,) arrays
        Rows of the zone and the smooth wall line there (distance from the axis).
    side : {-1.0, 1.0}
        Left or right.
    pitch_px, reach_px : float
        Height of a turn; how far to look to either side of the line.

    Returns
    -------
    cell : (PHASES, D) array
        Mean grey, NaN-free.
    depth_px : (D,) array
        Inward from the line.
    """
    depth = np.arange(-reach_px, reach_px + 1e-9, max(strip.step_px, reach_px / 18))
    grey = strip.at(z_px[:, None], side * (line_px[:, None] - depth))
    off = np.abs(z_px / pitch_px * PHASES - np.arange(PHASES)[:, None]) % PHASES
    weight = np.maximum(1 - np.minimum(off, PHASES - off), 0.0)  # of every row in every phase
    return weight @ grey / np.maximum(weight.sum(axis=1), 1e-9)[:, None], depth


def fit_cell(
    cell: Floats,
    depth_px: Floats,
    *,
    pitch_px: float,
    phase: float,
    shear: float = 0.0,
) -> Cell:
    """Fit the ridge model to a mean turn.

    Parameters
    ----------
    cell, depth_px
        From `fold`.
    phase : float
        Where the crest lies, in turns.
    shear : float
        How the thread climbs along the rays, turns per √px (`wall_shears`).
    """
    usable = (cell < CLIPPED).ravel()
    if float(np.ptp(cell)) < 0.03 or usable.mean() < 0.5:
        reason = "the thread is burnt out or too faint to measure"
        return Cell(NotMeasured(reason), NotMeasured(reason), BLUR_PX)

    def shape(theta: Floats) -> tuple[Floats, Floats]:
        turn = Turn(*theta)
        grey, slopes = ridge_shape(turn, depth_px, pitch_px=pitch_px, shear=shear)
        return grey.ravel()[usable], slopes.reshape(len(theta), -1)[:, usable]

    reach = float(depth_px[-1])
    low = np.array([-reach, 0.02 * reach, 0.0, 0.0, phase - 0.25, 0.1, 0.01, 0.4])
    high = np.array([reach, 2 * reach, 0.6, 0.6, phase + 0.25, 0.9, 2.0, 0.45 * reach + 0.5])
    depth = np.tile(depth_px, len(cell))[usable]
    picture = Picture(cell.ravel()[usable], depth, shape, low, high, USUAL, FIRM)
    start = np.array([-0.15 * reach, 0.4 * reach, 0.15, 0.15, phase, 0.5, 0.3, BLUR_PX])
    fit = fit_shape(picture, start, enough=ENOUGH, most=MOST_STEPS)
    return _as_cell(fit, np.append(high - low, LINEAR_RANGES), float(np.var(picture.grey)))


def _as_cell(fit: Fit, ranges: Floats, swing: float) -> Cell:
    # neighbouring samples are correlated
    variance = 4 * float(fit.left @ fit.left) / max(len(fit.left) - len(ranges), 1)
    # A shape the film does not settle is known no better than its range: a weak prior.
    information = fit.slopes @ fit.slopes.T / max(variance, 1e-12) + np.diag(12 / ranges**2)
    covariance = np.linalg.inv(information)
    root, height, blur = (float(fit.theta[i]) for i in (0, 1, -1))
    std_root = float(np.sqrt(max(covariance[0, 0], 0.0)))
    both = covariance[0, 0] + covariance[1, 1] + 2 * covariance[0, 1]
    std_crest = float(np.sqrt(max(both, 0.0)))
    floor = 0.25 * blur + 0.2  # a helix is not quite a ring, a tilted one less so (simulated)
    return Cell(
        from_parts(root + height, "px", edge=std_crest, thread_shape=floor),
        from_parts(root, "px", edge=std_root, thread_shape=floor),
        blur,
        float(np.mean(fit.left**2)) / swing,
    )
