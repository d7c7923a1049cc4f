"""How much of each material the rays of a point source meet on their way to every pixel.

The call shape others build on::

    part = Part(fields, ("titanium", "void"), reach_mm, top_mm, end_mm)
    shadow = cast((part, ...), View(...), beam)
    shadow.transmission      # (H, W), what the receptor records of the open beam
    shadow.transmissions     # (energies, H, W), the same for every energy of the beam
    shadow.paths_mm[0]       # (fields of part 0, H, W), mm

Each ray is straight and has its own direction. Along it the fields are sampled in depth and the
crossings interpolated linearly, which leaves a silhouette within a micrometre. Pixels where the
shadow bends sharply are averaged over a 13-point lattice (of intensities, as a detector does), so
edges lie true to about 2 um.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import ndimage

from sample_images.arrays import Array
from sample_images.bundle import ANGLE_EVERY, Bundle, Lines
from sample_images.solids import Fields
from sample_images.spectrum import Beam
from sample_images.view import View

__all__ = ["LATTICE", "Part", "Shadow", "View", "cast", "path_lengths_mm"]

CHUNK = 1 << 17  # ray samples handled at once: fits a core's cache
BEND = 0.02  # second difference of transmission that calls for sub-pixels
LATTICE = 13  # rank-1 lattice (1, 5)/13: 13 distinct offsets along x and along y
OFFSET_PX = (np.arange(LATTICE) + 0.5) / LATTICE - 0.5
LATTICE_PX = np.stack([OFFSET_PX, OFFSET_PX[(np.arange(LATTICE) * 5) % LATTICE]])  # (x, y)


@dataclass(frozen=True, slots=True)
class Part:
    """Fields that lie in one reach of space, each of a material of `materials.toml`, or "void".

    `reach_mm` bounds the distance from the axis, `top_mm` and `end_mm` the axial extent, and
    `depth_mm`, where given, the distance from the plane through the axis that faces the tube (a
    thin plate is sampled finely that way). The `samples` steps are spread over what these leave.
    """

    fields: Fields
    materials: tuple[str, ...]
    reach_mm: float
    top_mm: float
    end_mm: float
    samples: int = 96
    depth_mm: float | None = None


def path_lengths_mm(part: Part, t: Array, w: Array, tilt_deg: float, per_mm: float = 0.0) -> Array:
    """Path inside each field of `part`.

    Parameters
    ----------
    t, w : (N,) arrays
        Where the rays cross the plane through the platform's middle square to the central ray,
        across and along the projected axis, mm.
    per_mm : float
        One over the distance from the source to that plane; 0 = parallel rays.

    Returns
    -------
    (fields, N) array, mm.
    """
    lines = Lines.through(t, w, tilt_deg, per_mm)
    start, end = lines.inside(part.reach_mm, part.top_mm, part.end_mm, part.depth_mm)
    out = np.zeros((len(part.materials), len(t)))
    which = np.flatnonzero(end > start)
    samples = -(-part.samples // ANGLE_EVERY) * ANGLE_EVERY
    rows = max(1, CHUNK // samples)
    for first in range(0, len(which), rows):
        some = which[first : first + rows]
        bundle = Bundle.along(lines.some(some), start[some], end[some], samples)
        step = (end[some] - start[some]) / samples * bundle.lines.stretch
        for path, field in zip(out, part.fields(bundle), strict=True):
            path[some] = _inside(field, bundle.y.shape) * step
    return out


def _inside(field: Array, shape: tuple[int, ...]) -> Array:
    """Count the steps inside: a step that crosses the surface counts by its interpolated share."""
    field = np.broadcast_to(field, shape)
    within, size = np.maximum(field, 0), np.abs(field)
    share, whole = within[:, 1:] + within[:, :-1], size[:, 1:] + size[:, :-1]
    whole += np.float32(1e-12)
    share /= whole  # in place: no more arrays than a core's cache holds
    return np.asarray(share.sum(axis=1, dtype=np.float64))


@dataclass(frozen=True, slots=True, eq=False)
class Shadow:
    """What the parts leave on the film.

    Attributes
    ----------
    transmissions : (energies, H, W) array in 0-1
    paths_mm : tuple of (fields, H, W) arrays, one a part, mean over each pixel
    beam : Beam
    """

    transmissions: Array
    paths_mm: tuple[Array, ...]
    beam: Beam

    @property
    def transmission(self) -> Array:
        """What the receptor records of it, (H, W) in 0-1."""
        return self.beam.signal(self.transmissions)


def cast(parts: tuple[Part, ...], view: View, beam: Beam) -> Shadow:
    """Cast the shadow of all parts, averaging intensities inside pixels that need it."""
    height, width = view.shape
    y, x = np.indices(view.shape, float).reshape(2, -1)
    paths = [_paths(part, view, x, y) for part in parts]
    transmissions = _transmissions(parts, paths, beam, x.size)
    edge = _needs_subpixels(beam.signal(transmissions).reshape(view.shape)).ravel()
    across = (x[edge][:, None] + LATTICE_PX[0]).ravel()
    down = (y[edge][:, None] + LATTICE_PX[1]).ravel()
    fine = [_paths(part, view, across, down) for part in parts]
    averaged = _transmissions(parts, fine, beam, across.size)
    transmissions[:, edge] = averaged.reshape(len(averaged), -1, LATTICE).mean(axis=2)
    for coarse, sub in zip(paths, fine, strict=True):
        coarse[:, edge] = sub.reshape(len(sub), -1, LATTICE).mean(axis=2)
    shaped = tuple(path.reshape(-1, height, width) for path in paths)
    return Shadow(transmissions.reshape(-1, height, width), shaped, beam)


def _paths(part: Part, view: View, x_px: Array, y_px: Array) -> Array:
    return path_lengths_mm(part, *view.from_film(x_px, y_px), view.tilt_deg, view.per_mm)


def _transmissions(parts: tuple[Part, ...], paths: list[Array], beam: Beam, rays: int) -> Array:
    total = np.zeros((len(beam.energies_kev), rays), np.float32)
    for part, path in zip(parts, paths, strict=True):
        met = path.any(axis=0)
        mu = np.array([beam.mu_per_mm(material) for material in part.materials])
        total[:, met] -= (mu.T @ path[:, met]).astype(np.float32)
    return np.asarray(np.exp(total, out=total))


def _needs_subpixels(transmission: Array) -> Array:
    bend = np.zeros(transmission.shape)
    for axis in (0, 1):
        bend = np.maximum(
            bend, np.abs(ndimage.correlate1d(transmission, [1.0, -2.0, 1.0], axis=axis))
        )
    return np.asarray(ndimage.binary_dilation(bend > BEND, np.ones((3, 3), bool)))
