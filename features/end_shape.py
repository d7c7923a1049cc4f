"""The form of the far end from its silhouette, and how far a tilted beam makes it stand over.

The silhouette's width close to the tip is held against that of tilted solids of revolution: domes
(superellipses), flat ends with a chamfer, and cones. Shapes and tilts that fit share the
probability; each of them also says how far beyond its true apex the silhouette reaches. All
lengths are parts of the body's width.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import product

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

DEPTHS = (0.03, 0.05, 0.1, 0.15, 0.2, 0.3, 0.4, 0.5)  # below the tip, where widths are taken
TILTS_DEG = np.arange(0.0, 20.1, 2.0)
GAINS = (0.94, 1.0, 1.06)  # a body that tapers, or whose thread runs out, is not of one width
PRIOR = {"flat": 0.4, "dome": 0.45, "pointed": 0.15}  # from memory
STRAY, FARTHEST = 0.06, 3.0  # of the width: threads and bone; in that many of them (simulated)
TOGETHER = 1.5  # neighbouring widths stray together: so many count as one (simulated)


@dataclass(frozen=True, slots=True, eq=False)
class EndShape:
    """What the silhouette says of the end.

    Attributes
    ----------
    chances : mapping of form to float
    tilt_fit : (T,) array
        How well every one of `TILTS_DEG` fits, the best shapes being chosen for each.
    overhang, overhang_std : (T,) arrays
        How far the silhouette reaches beyond the apex at every one of `TILTS_DEG`.
    """

    chances: dict[str, float]
    tilt_fit: Floats
    overhang: Floats
    overhang_std: Floats


@dataclass(frozen=True, slots=True, eq=False)
class _Templates:
    forms: NDArray[np.str_]
    tilts: Floats
    widths: Floats
    overhang: Floats
    prior: Floats


def read_end(widths: Floats, tilt_weights: Floats) -> EndShape:
    """Weigh every shape and tilt by how well it fits.

    Parameters
    ----------
    widths : (8,) array
        Of the silhouette at `DEPTHS`; NaN where there is none.
    tilt_weights : (T,) array
        How likely each of `TILTS_DEG` is.
    """
    known = _templates()
    seen = np.isfinite(widths)
    misses = np.abs(known.widths[:, seen] - widths[seen]) / STRAY
    fit = -0.5 * np.sum(np.minimum(misses, FARTHEST) ** 2, axis=1) / TOGETHER
    tilts = np.searchsorted(TILTS_DEG, known.tilts)
    fits = np.exp(fit - fit.max()) * known.prior
    share = fits * tilt_weights[tilts]
    share /= share.sum()
    chances = {form: float(share[known.forms == form].sum()) for form in PRIOR}
    means, stds = zip(
        *(_mean(known.overhang[tilts == i], fits[tilts == i]) for i in range(len(TILTS_DEG))),
        strict=True,
    )
    tilt_fit = np.asarray(np.bincount(tilts, fits, len(TILTS_DEG)), np.float64)
    return EndShape(chances, tilt_fit, np.array(means), np.array(stds))


def _mean(values: Floats, share: Floats) -> tuple[float, float]:
    weights = share + 1e-12 * share.max() + 1e-300
    weights = weights / weights.sum()
    middle = float(weights @ values)
    return middle, float(np.sqrt(weights @ (values - middle) ** 2))


@lru_cache(maxsize=1)
def _templates() -> _Templates:
    rows = []
    for (form, z, r), tilt in product(_shapes(), TILTS_DEG):
        widths, overhang = _silhouette(z, r, np.radians(tilt))
        rows += [(form, tilt, gain * widths, gain * overhang) for gain in GAINS]
    forms, tilts, all_widths, overhangs = (np.array(column) for column in zip(*rows, strict=True))
    prior = np.array([PRIOR[form] / np.sum(forms == form) for form in forms])
    return _Templates(forms, tilts, all_widths, overhangs, prior)


def _shapes() -> Iterator[tuple[str, Floats, Floats]]:
    """Form, depth below the apex and radius there: the usual ends, invented and from memory."""
    z = np.concatenate([np.linspace(0.0, 0.12, 25), np.linspace(0.13, 1.2, 60)])
    for height, power in product((0.1, 0.15, 0.2, 0.25, 0.3, 0.35, 0.4, 0.5), (2.0, 2.4)):
        left = np.clip(1 - z / height, 0, 1)
        yield "dome", z, 0.5 * (1 - left**power) ** (1 / power)
    for height, steep in product((0.02, 0.08, 0.14, 0.2, 0.26, 0.32, 0.4), (0.4, 0.8, 1.0)):
        yield "flat", z, _cone(z, height, 0.5 - min(steep * height, 0.3))
    for height, end in product((0.2, 0.3, 0.4, 0.5, 0.6, 0.75, 0.9), (0.02, 0.05)):
        yield "pointed", z, _cone(z, height, end)


def _cone(z: Floats, height: float, end: float) -> Floats:
    return np.asarray(end + (0.5 - end) * np.clip(z / height, 0, 1))


def _silhouette(z: Floats, r: Floats, tilt: float) -> tuple[Floats, float]:
    """Widths at `DEPTHS` below the silhouette's own tip, and how far that lies beyond the apex.

    Every slice is seen as an ellipse; the silhouette is as wide as the widest of them.
    """
    high, middle = r * np.sin(tilt), z * np.cos(tilt)
    overhang = float(np.max(high - middle))
    places = np.array(DEPTHS) - overhang
    if tilt == 0:
        return np.asarray(2 * np.interp(places, z, r)), overhang
    off = (middle[:, None] - places) / np.maximum(high, 1e-9)[:, None]
    return np.asarray(2 * np.max(r[:, None] * np.sqrt(np.clip(1 - off**2, 0, 1)), axis=0)), overhang
