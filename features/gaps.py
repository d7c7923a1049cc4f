"""Missing metal: dark places inside the body, bounded by metal on both sides.

Each row's shadow of a solid body is a dome. Where a row dips below its own closing (the shadow
with every dark gap filled), metal is missing in the beam's path: a bore, a vent, a hollow core.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage
from skimage import feature, measure

from features.outline import Outline
from features.smoothing import Picture, blurred, closed
from features.strip import Strip

Floats = NDArray[np.float64]

CLOSING = 0.86  # of the body width: the widest gap that can be told from the outside
EDGE = 0.88  # of the half width: farther out the wall's own blur looks like a gap
SPOT = 0.42  # of the body width: largest hole of a perforated wall
DARK_SPOT = 0.12  # dip of a hole in a thin wall, as part of the body's contrast
COARSEST_TEXTURE = 0.3  # of the body's contrast: titanium's is below 0.26 (simulated)
FAINT = 0.03  # grey: a body with less contrast than this cannot be looked into
TOO_FAINT = "the body is burnt out or too faint to look inside"
SMOOTHED = 0.25  # what the smoothing below leaves of the pixel noise
SMALLEST = 0.10  # of the body width: gaps narrower than this are thread shading


@dataclass(frozen=True, slots=True)
class Gap:
    """One dark place.

    Attributes
    ----------
    z_px, t_px : float
        Its middle, along and across.
    height_px, width_px : float
    contrast : float
        Mean depth of the dip, as part of the body's own contrast to its surroundings.
    contrast_to_noise : float
    fill : float
        Area as part of its bounding box (π/4 for a disc, 1 for a rectangle).
    from_px, to_px : float
        Along the axis.
    """

    z_px: float
    t_px: float
    height_px: float
    width_px: float
    contrast: float
    contrast_to_noise: float
    fill: float
    from_px: float
    to_px: float


@dataclass(frozen=True, slots=True, eq=False)
class GapMap:
    """How far each place of the body dips below its own row, and the gaps found.

    `dip` is (Z, T) on the strip's grid, as part of the body's contrast; `spots` the same for holes
    smaller than `SPOT` body widths both ways. `beside` is the grey to both sides of the body, and
    `contrast` how far its middle stands out from that. `noise` is that of `dip`; `texture` is how
    far the grey beside the body swings, as part of the body's contrast.
    """

    dip: Floats
    spots: Floats
    gaps: tuple[Gap, ...]
    beside: float
    contrast: float
    noise: float
    texture: float = 0.0

    @property
    def faint(self) -> bool:
        """Whether bone over the body could pass for what is missing in it."""
        return self.unseen or self.texture > COARSEST_TEXTURE

    @property
    def unseen(self) -> bool:
        """Whether the body stands out too little for anything in it to be seen."""
        return self.contrast < FAINT


def find_gaps(strip: Strip, outline: Outline, *, tip_px: float, pitch_px: float = 0.0) -> GapMap:
    """Find dark places between the walls.

    Parameters
    ----------
    strip, outline
    tip_px : float
        Height of the apex.
    pitch_px : float
        Thread pitch, whose shading is averaged out; 0 where there is none.
    """
    width = outline.typical_width_px
    step = strip.step_px
    along = max(0.35 * pitch_px, 1.2) / step
    inside = _inside(strip, outline, tip_px)
    sides = _beside(strip, outline)
    beside = float(np.median(np.hstack(sides)))
    contrast = max(_inner_grey(strip, outline) - beside, 0.0)
    if contrast < FAINT:
        nothing = np.zeros(inside.shape)
        return GapMap(nothing, nothing, (), beside, contrast, 1.0, 1.0)
    texture = float(np.mean([np.std(side) for side in sides])) / contrast
    noise = SMOOTHED * outline.noise / contrast + 0.008
    size, square = (max(round(part * width / step), 3) for part in (CLOSING, SPOT))
    grey, part = _smoothed(strip, inside, (along, 1.2 / step), square)
    dip, spots = (
        _within(inside, part, closed(grey, *hole, part[1]) - grey[:, part[1]]) / contrast
        for hole in ((1, size | 1), (square | 1, square | 1))
    )
    gaps = _label(strip, dip, width, noise)
    return GapMap(dip, spots, gaps, beside, contrast, noise, texture)


def _smoothed(
    strip: Strip, inside: NDArray[np.bool_], blur: tuple[float, float], margin: int
) -> tuple[Picture, tuple[slice, slice]]:
    """The strip smoothed, only the rows inside the body and some margin.

    And which rows they are, and the columns inside the body.
    """
    body, across = (np.flatnonzero(inside.any(axis=axis)) for axis in (1, 0))
    first, last = (int(body[0]), int(body[-1])) if len(body) else (0, 0)
    rows = slice(max(first - margin, 0), min(last + margin + 1, len(inside)))
    columns = slice(int(across[0]), int(across[-1]) + 1) if len(across) else slice(0, 1)
    reach = int(4 * blur[0] + 0.5)  # of the smoothing (scipy's default)
    above = min(rows.start, reach)
    part = blurred(strip.pixels[rows.start - above : rows.stop + reach], *blur)
    return part[above : above + rows.stop - rows.start], (rows, columns)


def _within(inside: NDArray[np.bool_], part: tuple[slice, slice], dip: Floats) -> Floats:
    """Dips of a part of the strip on the whole strip, nothing outside the body."""
    whole = np.zeros(inside.shape)
    whole[part] = dip * inside[part]
    return whole


def dark_spots(
    strip: Strip, gaps: GapMap, *, width_px: float, from_px: float
) -> tuple[Floats, Floats]:
    """Heights (increasing) and places across of the dark spots below a height."""
    apart = max(round(SMALLEST * width_px / strip.step_px), 2)
    peaks = np.empty((0, 2), np.intp)
    if gaps.spots.max() > DARK_SPOT:
        near, corner = _about(gaps.spots, 2 * apart)  # wider than the blur reaches
        sharp = blurred(near, 0.25 * apart, 0.25 * apart)
        if sharp.max() > DARK_SPOT:
            near, inner = _about(sharp, apart)
            peaks = feature.peak_local_max(near, min_distance=apart, threshold_abs=DARK_SPOT)
            peaks = peaks[np.argsort(peaks[:, 0], kind="stable")] + corner + inner
    z, t = strip.z_px[peaks[:, 0]], strip.t_px[peaks[:, 1]]
    return z[z > from_px], t[z > from_px]


def _about(picture: Picture, around: int) -> tuple[Picture, NDArray[np.intp]]:
    """The part of a picture that dips by `DARK_SPOT`, with so many samples more; its corner."""
    places = np.argwhere(picture > DARK_SPOT)
    first, last = np.maximum(places.min(axis=0) - around, 0), places.max(axis=0)
    rows, columns = (slice(*ends) for ends in zip(first, last + around + 1, strict=True))
    return picture[rows, columns], first


def _inner_grey(strip: Strip, outline: Outline) -> float:
    half = outline.typical_width_px / 2
    rows = strip.rows(0.1 * strip.axis.length_px, 0.9 * strip.axis.length_px)
    return float(np.percentile(strip.pixels[rows, strip.columns(-0.6 * half, 0.6 * half)], 75))


def _beside(strip: Strip, outline: Outline) -> list[Floats]:
    """Two bands along the body, clear of its walls."""
    half = outline.typical_width_px / 2
    rows = strip.rows(0.2 * strip.axis.length_px, strip.axis.length_px)
    bands = ((-1.7, -1.3), (1.3, 1.7))
    return [strip.pixels[rows, strip.columns(a * half, b * half)] for a, b in bands]


def _inside(strip: Strip, outline: Outline, tip_px: float) -> NDArray[np.bool_]:
    left = np.interp(strip.z_px, outline.z_px, _steady(outline.left_px))
    right = np.interp(strip.z_px, outline.z_px, _steady(outline.right_px))
    rows = (strip.z_px > 0.01 * tip_px) & (strip.z_px < tip_px)
    t = strip.t_px[None, :]
    between = (t > -EDGE * left[:, None]) & (t < EDGE * right[:, None])
    return np.asarray(rows[:, None] & between)


def _steady(wall: Floats) -> Floats:
    return np.asarray(ndimage.percentile_filter(wall, 25, size=max(len(wall) // 12, 3)))


def _label(strip: Strip, dip: Floats, width: float, noise: float) -> tuple[Gap, ...]:
    threshold = max(0.10, 4.0 * noise)
    labels = measure.label(dip > threshold, connectivity=1)
    gaps = []
    for region in measure.regionprops(labels, intensity_image=dip):
        rows, columns = np.ptp(region.bbox[0::2]), np.ptp(region.bbox[1::2])
        if min(rows, columns) * strip.step_px < SMALLEST * width:
            continue
        gaps.append(_as_gap(strip, region, noise))
    return tuple(gaps)


def _as_gap(strip: Strip, region: measure._regionprops.RegionProperties, noise: float) -> Gap:
    top, left, bottom, right = region.bbox
    row, column = region.centroid_weighted
    step = strip.step_px
    return Gap(
        z_px=float(strip.z_px[0] + row * step),
        t_px=float(strip.t_px[0] + column * step),
        height_px=(bottom - top) * step,
        width_px=(right - left) * step,
        contrast=float(region.intensity_mean),
        contrast_to_noise=float(region.intensity_mean / noise),
        fill=float(region.extent),
        from_px=float(strip.z_px[0] + top * step),
        to_px=float(strip.z_px[0] + (bottom - 1) * step),
    )
