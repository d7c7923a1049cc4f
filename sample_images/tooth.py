"""A natural tooth on the film: crown with enamel, one or two roots, pulp."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sample_images.arrays import Array

ENAMEL_MM = 1.1
NECK_RUN_MM = 2.5
TRUNK = 0.30  # share of the root length down to the fork


@dataclass(frozen=True, slots=True, eq=False)
class ToothShadow:
    """Paths through one tooth, mm, each (H, W).

    `body_mm` is everything, `outline_mm` the signed distance inside the root's outline.
    """

    body_mm: Array
    dentine_mm: Array
    enamel_mm: Array
    outline_mm: Array


@dataclass(frozen=True, slots=True)
class Tooth:
    """A tooth standing at `x_mm`, its neck (where enamel ends) at `neck_y_mm`.

    `width_mm` is the crown's greatest mesio-distal width; `lean` is sideways mm per mm downwards;
    `roots` is 1 or 2.
    """

    x_mm: float
    neck_y_mm: float
    width_mm: float
    crown_mm: float
    root_mm: float
    depth_mm: float
    roots: int
    lean: float

    @property
    def widest_y_mm(self) -> float:
        """Height of the crown's greatest width."""
        return self.neck_y_mm - 0.62 * self.crown_mm

    def ends_mm(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """Give the two points where a calliper would touch the crown."""
        middle = self.x_mm + self.lean * (self.widest_y_mm - self.neck_y_mm)
        half = self.width_mm / 2
        return (middle - half, self.widest_y_mm), (middle + half, self.widest_y_mm)

    def shadow(self, x: Array, y: Array) -> ToothShadow:
        """Paths at pixel positions `x` (W,) and `y` (H,), mm."""
        down = (y - self.neck_y_mm)[:, None]
        across = x[None, :] - self.x_mm - self.lean * down
        crown, core = self._crown(across, down, 0.0), self._crown(across, down, ENAMEL_MM)
        root, outline = self._root(across, down)
        # crown and root have different sections: one turns into the other below the neck
        rooted = np.clip(down / NECK_RUN_MM, 0, 1)
        rooted = rooted**2 * (3 - 2 * rooted)
        body = crown * (1 - rooted) + root * rooted
        enamel = np.where(down < 0.3, np.clip(crown - np.maximum(core, root), 0, None), 0.0)
        pulp = self._pulp(across, down)
        dentine = np.clip(body - enamel - np.minimum(pulp, body), 0, None)
        return ToothShadow(body, dentine, enamel, outline)

    def _crown(self, across: Array, down: Array, inset: float) -> Array:
        """Path through the crown (or through its dentine, `inset` inside)."""
        up = np.clip(-down / self.crown_mm, 0, 1.2)
        neck, half = 0.40 * self.width_mm, self.width_mm / 2
        inset_here = inset * np.clip(up * 2.5, 0, 1)
        bulge = np.clip(1 - ((up - 0.62) / 0.62) ** 2, 0, 1)
        wide = neck + (half - neck) * bulge - inset_here
        cusps = 0.9 * np.cos(across / half * 2.6) ** 2
        top = self.crown_mm - 0.9 + 0.9 * (1 - cusps / 0.9) * 0.9 - 1.15 * inset
        near_top = np.clip(1 - (top + down) / 1.8, 0, 1)
        cap = np.sqrt(np.clip(1 - near_top**2, 0, 1))
        side = np.sqrt(np.clip(1 - np.abs(across / wide) ** 2.6, 0, 1))
        present = (down <= NECK_RUN_MM) & (-down < top)
        return np.where(present, 2 * (self.depth_mm / 2 - inset_here) * side * cap, 0.0)

    def _root(self, across: Array, down: Array) -> tuple[Array, Array]:
        """Path through the root(s) and the signed distance inside their outline."""
        path = np.zeros(np.broadcast_shapes(across.shape, down.shape))
        outline = np.full(path.shape, -9.0)
        for middle, half, thick in self._root_shapes(down):
            off = np.abs(across - middle)
            inside = half - off
            # beyond the tip the distance is to the tip itself
            past = np.clip(down - self.root_mm, 0, None)
            inside = np.where(past > 0, -np.hypot(past, off), inside)
            side = np.sqrt(np.clip(1 - (off / np.maximum(half, 1e-3)) ** 2, 0, 1))
            here = np.where((down >= 0) & (inside > 0), 2 * thick * side, 0.0)
            path, outline = np.maximum(path, here), np.maximum(outline, inside)
        if self.roots == 2:
            path = np.maximum(path, self._trunk(across, down))
        return path, np.where(down >= 0, outline, -9.0)

    def _trunk(self, across: Array, down: Array) -> Array:
        """Path through the undivided part above the fork, thinning out into it."""
        fork = 0.62 * TRUNK * self.root_mm
        fade = np.clip((fork - down) / 1.2, 0, 1) ** 0.5 * (down >= 0)
        return np.asarray(self.depth_mm * fade * _lens(across, 0.39 * self.width_mm))

    def _root_shapes(self, down: Array) -> list[tuple[Array, Array, Array]]:
        """Middle line, half width and half depth of every root, along `down`."""
        share = np.clip(down / self.root_mm, 0, 1)
        narrow = (1 - share**3.2) ** 0.55
        thick = self.depth_mm / 2 * (1.0 - 0.5 * share**1.3)
        neck = 0.40 * self.width_mm
        if self.roots == 1:
            return [(0.25 * share**2, neck * (1 - 0.38 * share) * narrow, thick)]
        apart = np.clip((share - TRUNK) / (1 - TRUNK), 0, 1)
        half = neck * (0.64 - 0.26 * np.clip(share / TRUNK, 0, 1) - 0.06 * apart) * narrow
        middle = neck * (0.36 + 0.19 * np.clip(share / TRUNK, 0, 1) + 0.10 * np.sin(apart * 2.4))
        return [(side * middle, half, thick) for side in (-1.0, 1.0)]

    def _pulp(self, across: Array, down: Array) -> Array:
        """Path through the pulp chamber and canal(s)."""
        share = np.clip(down / self.root_mm, 0, 1)
        path = np.zeros(np.broadcast_shapes(across.shape, down.shape))
        for middle, half, _ in self._root_shapes(down):
            canal = np.minimum(0.40 - 0.27 * share, half * 0.5)
            ends = np.clip((0.97 - share) * 20, 0, 1) * np.clip((down + 0.5) * 2, 0, 1)
            path = np.maximum(path, 2.2 * ends * _lens(across - middle, canal))
        wide, tall = (0.13, 0.27) if self.roots == 1 else (0.22, 0.17)
        horns = 0.0 if self.roots == 1 else 0.5 * np.clip(across / 1.4, -1, 1) ** 2
        up = (down + 0.10 * self.crown_mm + horns) / (tall * self.crown_mm)
        chamber = wide * self.width_mm * np.sqrt(np.clip(1 - np.abs(up) ** 2.5, 0, 1))
        return np.asarray(np.maximum(path, 2.6 * _lens(across, chamber)))


def _lens(off: Array, half: Array | float) -> Array:
    """Thickness 0-1 of a rounded channel of half width `half`, `off` from its middle."""
    return np.sqrt(np.clip(1 - (off / np.maximum(half, 1e-3)) ** 2, 0, 1)) * (
        np.asarray(half) > 0.02
    )
