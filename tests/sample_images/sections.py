"""Cross-sections of solids by counting points, for comparison with closed forms."""

import numpy as np

from sample_images.solids import Rays


def inside(field, x, y, z):
    """Values of a field at points, mm; positive inside."""
    x, y, z = np.broadcast_arrays(*(np.asarray(v, np.float32) for v in (x, y, z)))
    flat = [v.reshape(1, -1) for v in (x, y, z)]
    values = field(Rays(*flat, r=np.hypot(flat[0], flat[1]), phi=np.arctan2(flat[1], flat[0])))
    return np.broadcast_to(values, flat[0].shape).reshape(x.shape)


def area_mm2(field, z_mm, half_mm, points=700):
    """Area of the section at a height."""
    at = (np.arange(points) + 0.5) / points * 2 * half_mm - half_mm
    x, y = np.meshgrid(at, at)
    return float((inside(field, x, y, np.full(x.shape, z_mm)) > 0).mean() * 4 * half_mm**2)


def radius_mm(field, z_mm, turn_deg, most_mm=6.0):
    """Distance from the axis to the surface in one direction, by linear interpolation."""
    r = np.linspace(0.0, most_mm, 6001)
    cos, sin = np.cos(np.radians(turn_deg)), np.sin(np.radians(turn_deg))
    values = inside(field, r * cos, r * sin, np.full(r.shape, z_mm))
    last = np.flatnonzero(values > 0)[-1]
    return float(r[last] + values[last] / (values[last] - values[last + 1]) * (r[1] - r[0]))
