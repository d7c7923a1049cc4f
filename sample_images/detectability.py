"""Could a feature be made out on this film at all? Contrast over noise from a noise-free pair.

Two exposures of one scene, with and without the feature, are scattered, blurred and toned alike (in
the window of the film with it; no sharpening). Then

contrast
    the mean absolute difference of grey over the feature's area, the pixels where the difference
    exceeds half its greatest value;
noise
    of an average over that same area, of what a reader cannot tell from the feature: quantum and
    electronic noise, the rounding to the film's bits, the texture of the mouth (from a third
    exposure, of the scene without the feature behind another mouth of the same kind), and half a
    step of an 8-bit screen, so that a difference below one step never counts.

The ratio says nothing of whether the shape can be told: a hole seen from the side is a faint band.
"""

from __future__ import annotations

import math

import numpy as np
from scipy import ndimage

from sample_images.arrays import Mask
from sample_images.camera import Camera
from sample_images.imaging import GRAIN, Received, noiseless
from sample_images.tone import Tone, fit_tone

DETECTABLE = 2.0  # contrast over noise from which a feature counts as detectable
SCREEN_STEP = 1 / 255
HALF = 0.5  # of the greatest difference: the edge of the feature's area
ROUND = 12**-0.5  # standard deviation of rounding, in steps


def contrast_to_noise(
    present: Received,
    absent: Received,
    camera: Camera,
    where: Mask | None = None,
    elsewhere: Received | None = None,
) -> float:
    """Contrast of a feature over the noise of an average over its area.

    Parameters
    ----------
    present, absent : Received
        With and without the feature, behind the same mouth.
    where : (H, W) array of bool, optional
        Where the feature may show; the whole film where left out.
    elsewhere : Received, optional
        Without the feature, behind another mouth; without it texture is no noise.

    Returns
    -------
    0 where the feature changes nothing, or only what the window clips.
    """
    seen, bare = noiseless(present, camera), noiseless(absent, camera)
    tone = fit_tone(seen.signal, camera)
    difference = np.abs(tone.grey(seen.signal) - tone.grey(bare.signal))
    if where is not None:
        difference = np.where(where, difference, 0)
    greatest = float(difference.max())
    if greatest == 0:
        return 0.0
    area = difference > HALF * greatest
    variance = _random_variance(bare, camera, tone, area) + (SCREEN_STEP / 2) ** 2
    if elsewhere is not None:
        variance += _texture_variance(bare, noiseless(elsewhere, camera), tone, area)
    return float(difference[area].mean() / math.sqrt(variance))


def _random_variance(bare: Received, camera: Camera, tone: Tone, area: Mask) -> float:
    """Of the average over `area`, in grey."""
    rounding = (ROUND / (2**camera.bits - 1)) ** 2
    if camera.photons <= 0:
        return float(rounding / area.sum())
    counts = bare.variance[area] / camera.photons + (camera.electronic / camera.photons) ** 2
    signal, std = bare.signal[area], np.sqrt(counts)
    grey = (tone.grey(signal - std) - tone.grey(signal + std)) / 2
    # grain of this spread holds about 4 pi s^2 pixels together: a small area averages no more
    pixels = area.sum() + 4 * math.pi * (GRAIN * camera.blur_px) ** 2
    return float((np.mean(grey**2) + rounding) / pixels)


def _texture_variance(bare: Received, other: Received, tone: Tone, area: Mask) -> float:
    """Of an average over a square as large as `area`, around it, in grey."""
    side = max(1, round(math.sqrt(area.sum())))
    rows, columns = (_around(np.asarray(area.any(axis=axis)), side) for axis in (1, 0))
    texture = (tone.grey(bare.signal) - tone.grey(other.signal))[rows, columns]
    averaged = ndimage.uniform_filter(texture, side, mode="nearest")
    return float(np.mean(averaged**2) / 2)  # both mouths are random: half is one's


def _around(used: Mask, margin: int) -> slice:
    at = np.flatnonzero(used)
    return slice(max(0, int(at[0]) - margin), int(at[-1]) + margin + 1)
