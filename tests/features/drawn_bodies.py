"""Films worked out point by point from formulas, for what a bare rod does not have.

A body of revolution seen square has the path 2·√(R(z)² − t²); a round channel takes away
2·√(r² − t²); a hole along the beam takes away everything inside its outline. No code of the
renderer
or of the measuring side is used.
"""

import numpy as np
from scipy import ndimage

MM_PER_PX = 0.03
TOP_PX = 130.0  # film row of the platform
BALL_PX = (160.4, 149.7)  # middle of the drawn ball
MU_PER_MM = 0.55  # titanium at some 45 keV


def knots(*pairs):
    """A radius or width in mm along z in mm, straight between (z, value) pairs; 0 outside."""
    z, value = np.array(pairs, float).T
    return lambda at: np.interp(at, z, value, left=0.0, right=0.0)


def rod(width_mm=4.0, length_mm=10.0):
    """A plain cylinder."""
    return knots((0.0, width_mm / 2), (length_mm, width_mm / 2))


def rounded(width_mm, length_mm, end_mm, power=2.0):
    """A cylinder whose last `end_mm` are an ellipse (power 2), or a cone (power 1)."""
    radius = width_mm / 2

    def at(z):
        into = np.clip((z - length_mm + end_mm) / end_mm, 0, 1)
        return np.where((z < 0) | (z > length_mm), 0.0, radius * (1 - into**power) ** (1 / power))

    return at


def chord(radius_mm, t_mm):
    return 2 * np.sqrt(np.maximum(radius_mm**2 - t_mm**2, 0))


def film(
    radius, *, length_mm=10.0, channel=None, holes=(), beside=None, notch=None, noise=0.004, seed=0
):
    """(pixels, truth) of an upright body.

    `channel`: radius of the bore along z; `holes`: functions (t, z) → True inside; `beside`:
    transmission of what lies around, along z; `notch`: (t, z) → part of the metal that is missing.
    """
    rows, columns = round(TOP_PX + length_mm / MM_PER_PX + 70), 280
    z = (np.arange(rows) - TOP_PX)[:, None] * MM_PER_PX
    t = (np.arange(columns) - (columns - 1) / 2)[None, :] * MM_PER_PX
    path = chord(radius(z), t)
    if channel is not None:
        path = np.maximum(path - chord(channel(z), t), 0)
    for hole in holes:
        path = np.where(hole(t, z), 0.0, path)
    if notch is not None:
        path = path * (1 - notch(t, z))
    around = 0.4 if beside is None else beside(z) + 0 * t
    grey = 1 - ndimage.gaussian_filter(around * np.exp(-MU_PER_MM * path), 1.3)
    grey = grey + noise * np.random.default_rng(seed).standard_normal(grey.shape)
    middle, half = (columns - 1) / 2, float(radius(0.05)) / MM_PER_PX
    truth = {
        "platform": [(middle - half, TOP_PX), (middle + half, TOP_PX)],
        "apex": (middle, TOP_PX + length_mm / MM_PER_PX),
    }
    return np.clip(grey, 0, 1), truth


def ellipse(across_mm, along_mm, at_z_mm):
    """A hole along the beam."""
    return lambda t, z: (t / across_mm * 2) ** 2 + ((z - at_z_mm) / along_mm * 2) ** 2 < 1


def ball(diameter_px, *, gamma=1.0, mu_per_mm=2.0, centre=BALL_PX, noise=0.004):
    """A steel ball (mu 2/mm at some 50 keV) at 0.03 mm/px, three samples a pixel each way."""
    y, x = (np.mgrid[0:900, 0:960] - 1) / 3
    squared = diameter_px**2 / 4 - (x - centre[0]) ** 2 - (y - centre[1]) ** 2
    path = 2 * 0.03 * np.sqrt(np.maximum(squared, 0))
    seen = ndimage.gaussian_filter(0.4 * np.exp(-mu_per_mm * path), 3.9)[1::3, 1::3]
    grey = (1 - seen) ** gamma + noise * np.random.default_rng(1).standard_normal(seen.shape)
    return grey.astype(np.float32)


def log_ball(diameter_px, *, whitest=0.035, noise=0.004):
    """The same of steel on a film that shows the beam's logarithm, white below `whitest` of it."""
    share = (1 - ball(diameter_px, noise=0.0)).astype(float) / 0.4
    grey = 0.05 + 0.95 * np.log(np.maximum(share, whitest)) / np.log(whitest)
    return grey + noise * np.random.default_rng(1).standard_normal(grey.shape)


def ball_ends(diameter_px, off=(0, 0, 0, 0), centre=BALL_PX):
    half = diameter_px / 2
    return (
        (centre[0] - half + off[0], centre[1] + off[1]),
        (centre[0] + half + off[2], centre[1] + off[3]),
    )
