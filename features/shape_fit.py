"""Least squares of a shape in a grey picture whose height, ground and slope are free.

grey = A·shape(θ) + c0 + c1·depth. The last three are linear, so they are solved for wherever a θ
is tried (variable projection), and only θ is searched for: Levenberg-Marquardt within limits.

References
----------
.. [1] G. H. Golub, V. Pereyra, SIAM J. Numer. Anal. 10 (1973) 413-432; the step in the manner of
   A. Ruhe, P. A. Wedin, SIAM Rev. 22 (1980) 318-337 (both from memory).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from features.equations import solved

Floats = NDArray[np.float64]
Shape = Callable[[Floats], tuple[Floats, Floats]]  # θ, (T,), to a shape, (N,), and slopes, (T, N)

LINEAR = 3
DAMPING, LEAST, LESS, MORE = (
    0.03,
    1e-5,
    0.2,
    10.0,
)  # at first, at least, after a good step, a bad one
NEARER = 0.5  # of the way to a limit at most: a first long step would be caught there


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """One place of the search.

    Attributes
    ----------
    theta : (T,) array
    linear : (3,) array
        A, c0, c1.
    left : (N,) array
        The model less the grey.
    slopes : (T + 3, N) array
        Of the model, by θ, A, c0 and c1.
    pull : (T + 3,) array
        Half the slope of the cost.
    cost : float
        Square sum of what is left, and of how far the parameters stray from usual.
    """

    theta: Floats
    linear: Floats
    left: Floats
    slopes: Floats
    pull: Floats
    cost: float


# A share of the largest diagonal, far below any that tells: what a picture says nothing of stays
# as it is, instead of leaving no solution.
FLOOR = 1e-12


@dataclass(frozen=True, eq=False)
class Picture:
    """What to fit, and what holds parameters that it leaves open.

    Attributes
    ----------
    grey, depth_px : (N,) arrays
    shape : callable
    low, high : (T,) arrays
        Limits of θ.
    usual, firm : (T + 3,) arrays
        Usual parameters, and the grey that one unit off them weighs as much as.
    """

    grey: Floats
    depth_px: Floats
    shape: Shape
    low: Floats
    high: Floats
    usual: Floats
    firm: Floats

    @cached_property
    def squares(self) -> Floats:
        """Of `firm`."""
        return np.asarray(self.firm**2)

    def at(self, theta: Floats) -> Fit:
        """The best A, c0 and c1 for one θ."""
        shape, by_theta = self.shape(theta)
        slopes = np.empty((len(theta) + LINEAR, len(shape)))
        linear = slopes[-LINEAR:]
        linear[0], linear[1], linear[2] = shape, 1.0, self.depth_px
        squares, usual = self.squares[-LINEAR:], self.usual[-LINEAR:]
        normal = linear @ linear.T
        normal.ravel()[:: LINEAR + 1] += squares + FLOOR * normal.max()
        found = solved(normal, linear @ self.grey + squares * usual)
        np.multiply(found[0], by_theta, out=slopes[:-LINEAR])
        left = found @ linear - self.grey
        stray = self.firm * (np.concatenate([theta, found]) - self.usual)
        pull = slopes @ left + self.firm * stray
        return Fit(theta, found, left, slopes, pull, float(left @ left + stray @ stray))

    def step(self, here: Fit, damping: float) -> tuple[Floats, float]:
        """Where to try next, and how much lower the cost should be there."""
        searched = len(here.theta)
        normal = here.slopes @ here.slopes.T
        diagonal = normal.ravel()[:: len(normal) + 1]  # a view
        diagonal += self.squares
        diagonal[:searched] *= 1 + damping
        diagonal += FLOOR * diagonal.max()
        move = -solved(normal, here.pull)
        least, most = (NEARER * (limit - here.theta) for limit in (self.low, self.high))
        theta = here.theta + np.clip(move[:searched], least, most)
        return theta, -float(move @ here.pull)


def fit_shape(picture: Picture, start: Floats, *, enough: float, most: int) -> Fit:
    """Search from one θ.

    Parameters
    ----------
    picture : Picture
    start : (T,) array
    enough : float
        A step that should lower the cost by a smaller part than this is the last.
    most : int
        Steps at most.
    """
    here, damping = picture.at(np.clip(start, picture.low, picture.high)), DAMPING
    for _ in range(most):
        theta, hoped = picture.step(here, damping)
        tried = picture.at(theta)
        better = tried.cost < here.cost
        here = tried if better else here
        damping = max(damping * LESS, LEAST) if better else damping * MORE
        if hoped <= enough * here.cost:
            break
    return here
