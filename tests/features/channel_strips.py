"""Straightened views of a channel worked out row by row, without a film."""

import numpy as np

from features.strip import Strip, axis_through

HALF_PX, ABOVE_PX = 90, 10


def strip_of(pixels):
    """A strip whose platform lies `ABOVE_PX` rows down, its axis in the middle column."""
    z = np.arange(len(pixels), dtype=float) - ABOVE_PX
    t = np.arange(-HALF_PX, HALF_PX + 1, dtype=float)
    axis = axis_through((0.0, 0.0), (0.0, float(z[-1])))
    return Strip(np.asarray(pixels, float), np.ones(np.shape(pixels), bool), z, t, axis)


def columns():
    return np.arange(-HALF_PX, HALF_PX + 1, dtype=float)


def empty_strip(rows):
    """A strip that only says where its rows and columns lie."""
    return strip_of(np.zeros((rows, 2 * HALF_PX + 1)))


def round_dip(half_px, depth=1.0):
    """Dip of a round gap in each row, by its half width; none where that is 0."""
    half = np.asarray(half_px, float)[:, None]
    share = columns() / np.where(half > 0, half, 1.0)
    return np.where(half > 0, depth * np.sqrt(np.maximum(1 - share**2, 0)), 0.0)


def bored_body(half_px, body_px=130.0):
    """A round body's shadow, as bright as the metal is thick, with a round gap in it."""
    half = np.asarray(half_px, float)
    metal = round_dip(np.full(len(half), body_px / 2), 0.5)
    return strip_of(0.3 + metal - round_dip(half) * (half / body_px)[:, None])
