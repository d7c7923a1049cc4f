"""The calibration ball as the point source casts it: exact chords, exact ends of its shadow."""

from __future__ import annotations

import math

import numpy as np

from sample_images.arrays import Array
from sample_images.rays import LATTICE, LATTICE_PX
from sample_images.site import BALL_MM, Ball
from sample_images.spectrum import Beam
from sample_images.view import View

BALL_MATERIAL = "steel"
PX_AROUND_BALL = 3


def cast_ball(through: Array, ball: Ball, view: View, beam: Beam) -> None:
    """Darken the ball's corner of `through` by its transmission, averaged over each pixel."""
    (x, y), radius = shadow_px(ball, view)
    reach = radius + PX_AROUND_BALL
    rows = slice(max(0, math.floor(y - reach)), max(0, math.ceil(y + reach)))
    columns = slice(max(0, math.floor(x - reach)), max(0, math.ceil(x + reach)))
    corner = through[:, rows, columns]
    mus = beam.mu_per_mm(BALL_MATERIAL).astype(np.float32)
    down, across = np.indices(corner.shape[1:])
    mean = np.zeros_like(corner)
    for right, below in LATTICE_PX.T:
        chord = ball_chord_mm(
            ball, view, across + columns.start + right, down + rows.start + below
        ).astype(np.float32)
        mean += np.exp(-mus[:, None, None] * chord)
    corner *= mean / LATTICE


def ball_chord_mm(ball: Ball, view: View, x_px: Array, y_px: Array) -> Array:
    """Path of the rays that meet these film points through the ball, mm."""
    cross, toward = _moment(ball, view, x_px, y_px)
    square = (cross**2).sum(axis=0) / (toward**2).sum(axis=0)
    return np.asarray(2 * np.sqrt(np.clip((BALL_MM / 2) ** 2 - square, 0, None)))


def _moment(ball: Ball, view: View, x_px: Array, y_px: Array) -> tuple[Array, Array]:
    """Moment of each ray about the ball's middle, and the ray's direction: (3, …) arrays.

    Their lengths' quotient is the distance at which the ray passes the middle.
    """
    a = (np.asarray(x_px) - view.platform_px[0]) * view.mm_per_px
    b = (np.asarray(y_px) - view.platform_px[1]) * view.mm_per_px
    toward = np.stack([a * view.per_mm, b * view.per_mm, -np.ones_like(a)])
    larger = view.enlargement(ball.depth_mm)
    aside = np.stack(
        [ball.x_mm / larger - a, ball.y_mm / larger - b, np.full_like(a, ball.depth_mm)]
    )
    return np.cross(aside, toward, axis=0), toward


def shadow_px(ball: Ball, view: View) -> tuple[tuple[float, float], float]:
    """Where the ball's middle falls and the mean radius of its shadow, px.

    The shadow is an ellipse, stretched away from the central ray by some thousandth of its size;
    `ball_ends_px` has its exact ends.
    """
    x = view.platform_px[0] + ball.x_mm / view.mm_per_px
    y = view.platform_px[1] + ball.y_mm / view.mm_per_px
    ends = [ball_ends_px(ball, view, angle) for angle in (0.0, 45.0, 90.0, 135.0)]
    return (x, y), float(np.mean([math.dist(*pair) / 2 for pair in ends]))


def ball_ends_px(
    ball: Ball, view: View, angle_deg: float
) -> tuple[tuple[float, float], tuple[float, float]]:
    """Two opposite ends of the ball's shadow on the line through its middle, at this angle.

    `angle_deg` turns from film right toward film down.
    """
    middle = np.array(view.platform_px) + np.array([ball.x_mm, ball.y_mm]) / view.mm_per_px
    along = np.array([math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))])
    unit = BALL_MM / view.mm_per_px  # far enough for the parabola below to be well conditioned
    points = middle[:, None] + along[:, None] * np.array([-1.0, 0.0, 1.0]) * unit
    cross, toward = _moment(ball, view, *points)
    # on a line the rays' directions and moments are linear, so this is a parabola: exact from three
    misses = (cross**2).sum(axis=0) - (BALL_MM / 2) ** 2 * (toward**2).sum(axis=0)
    square, slope = (misses[0] + misses[2]) / 2 - misses[1], (misses[2] - misses[0]) / 2
    root = math.sqrt(slope**2 - 4 * square * misses[1])
    first, last = (
        middle + along * unit * (-slope + sign * root) / (2 * square) for sign in (-1, 1)
    )
    return (float(first[0]), float(first[1])), (float(last[0]), float(last[1]))
