"""One path of insertion for several abutments: whether it exists, and what must be cut for it.

A wall draws along a path where the path does not lean against it: its outward normal and the path
make no more than a right angle. Over the prepared walls of all abutments that is a small linear
feasibility problem in the path's direction.
"""
# ruff: noqa: PLC0415 - scipy.optimize takes longer to load than all the rest of a plan

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

WALLS = 180  # flat walls that stand for a round abutment: the taper is met to 0.02 %
SETTLED_DEG = 1e-7
ROUNDS = 12
HOLDING_DEG = 0.02  # flat walls let two that are alike differ by so much


@dataclass(frozen=True, slots=True)
class Post:
    """One abutment as it stands.

    Attributes
    ----------
    taper_deg : float
        Of each wall to the axis; 0 for an attachment.
    height_mm : float
        Of the prepared wall.
    may_be_cut : bool
        False for one that stays as it is; the path keeps to it.
    """

    label: str
    taper_deg: float
    height_mm: float
    may_be_cut: bool = True

    def undercut_mm(self, lean_deg: Floats) -> Floats:
        """How much comes off its top, where the path leans so far from its axis."""
        beyond = np.tan(np.radians(lean_deg)) - math.tan(math.radians(self.taper_deg))
        return np.maximum(0.0, self.height_mm * beyond)


def pair_leans_deg(apart_deg: Floats, first: Post, second: Post) -> tuple[Floats, Floats]:
    """Lean of the best path from two axes that are `apart_deg` apart; it lies between them.

    What goes beyond the tapers is shared evenly, unless one of the two cannot be cut: then the
    path leans as far from that one as its taper lets it.
    """
    if first.may_be_cut == second.may_be_cut:
        lean = (apart_deg + first.taper_deg - second.taper_deg) / 2
    else:
        kept_deg = np.full_like(apart_deg, first.taper_deg)
        lean = kept_deg if second.may_be_cut else apart_deg - second.taper_deg
    lean = np.clip(lean, 0.0, apart_deg)
    return lean, apart_deg - lean


def find_path(axes: Floats, posts: tuple[Post, ...]) -> Floats | None:
    """Find the direction that goes least beyond the tapers of those that may be cut.

    Parameters
    ----------
    axes : ndarray, shape (N, 3)
        Crownward unit axes.
    posts : tuple of Post
        As many.

    Returns
    -------
    ndarray, shape (3,), or None
        Unit direction; None where those that cannot be cut leave no path at all.

    Notes
    -----
    ``n·d ≥ -t`` for every wall that may be cut, ``n·d ≥ 0`` for the others, least `t`, with
    ``m·d = 1``. On the unit sphere `t` is the sine of the angle beyond the taper; the plane
    ``m·d = 1`` touches the sphere at `m`, so `m` is moved to `d` until both agree.
    """
    normals, slack = _walls(axes, posts)
    middle = _unit(axes.sum(axis=0))
    for _ in range(ROUNDS):
        path = _solve(normals, slack, middle)
        if path is None:
            return None
        moved_deg = math.degrees(float(np.linalg.norm(path - middle)))
        middle = path
        if moved_deg < SETTLED_DEG:
            break
    return middle


def _walls(axes: Floats, posts: tuple[Post, ...]) -> tuple[Floats, Floats]:
    """Outward normals (N · WALLS, 3), and 1 for each wall that may be cut."""
    turn = np.arange(WALLS) * 2 * math.pi / WALLS
    normals = []
    for axis, post in zip(axes, posts, strict=True):
        across = _unit(np.cross(axis, np.eye(3)[np.argmin(np.abs(axis))]))
        round_it = np.outer(np.cos(turn), across) + np.outer(np.sin(turn), np.cross(axis, across))
        taper = math.radians(post.taper_deg)
        normals.append(math.cos(taper) * round_it + math.sin(taper) * axis)
    nobody = not any(post.may_be_cut for post in posts)
    slack = [float(post.may_be_cut or nobody) for post in posts]
    return np.concatenate(normals), np.repeat(slack, WALLS)


def _solve(normals: Floats, slack: Floats, middle: Floats) -> Floats | None:
    from scipy.optimize import linprog

    found = linprog(
        [0.0, 0.0, 0.0, 1.0],
        A_ub=-np.column_stack([normals, slack]),
        b_ub=np.zeros(len(normals)),
        A_eq=[[*middle, 0.0]],
        b_eq=[1.0],
        bounds=[(None, None)] * 4,
    )
    return _unit(found.x[:3]) if found.success else None


def follow_path(axes: Floats, posts: tuple[Post, ...], path: Floats, drawn: Floats) -> Floats:
    """Where the path would lie for other axes: the same mixture of those that hold it in place.

    The best path lies between the axes it goes farthest beyond; the others could move a little
    without moving it. `drawn` has shape (N, draws, 3), the answer (draws, 3).
    """
    from scipy.optimize import nnls

    holding = _holding(axes, posts, path)
    weights, _ = nnls(axes[holding].T, path)
    mixed = np.tensordot(weights, drawn[holding], axes=1)
    return np.asarray(mixed / np.linalg.norm(mixed, axis=-1, keepdims=True))


def _holding(axes: Floats, posts: tuple[Post, ...], path: Floats) -> NDArray[np.bool_]:
    tapers_deg = np.array([post.taper_deg for post in posts])
    beyond_deg = np.degrees(np.arccos(np.clip(axes @ path, -1, 1))) - tapers_deg
    cut = np.array([post.may_be_cut for post in posts])
    farthest_deg = beyond_deg[cut].max() if cut.any() else beyond_deg.max()
    at_limit = np.where(cut | ~cut.any(), farthest_deg, 0.0)
    return np.asarray(beyond_deg >= at_limit - HOLDING_DEG)


def _unit(vector: Floats) -> Floats:
    return np.asarray(vector / np.linalg.norm(vector))
