"""Where an implant lies on the film and how the beam meets it: the geometry of a point source.

The source stands over the middle of the platform; the plane through that point square to this
central ray carries the film's scale. A point nearer the tube by `s` is enlarged ``S / (S - s)``
times about the platform's middle, `S` being the distance of the source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from sample_images.arrays import Array


@dataclass(frozen=True, slots=True)
class View:
    """Where an implant lies on the film and how the beam meets it.

    Attributes
    ----------
    mm_per_px : float
        Object mm per film pixel on the implant's axis at the platform.
    platform_px : (x, y)
        Film position of the middle of the platform.
    turn_deg : float
        In-plane turn of the axis; positive moves the apex to the left.
    tilt_deg : float
        Central ray off square to the axis; positive = the tube stands on the platform's side.
    shape : (rows, columns) of the film.
    source_mm : float
        Focal spot to the middle of the platform; infinite = a parallel beam.
    receptor_mm : float
        Middle of the platform to the receptor behind it: sets pixel pitch and penumbra.
    """

    mm_per_px: float
    platform_px: tuple[float, float]
    turn_deg: float
    tilt_deg: float
    shape: tuple[int, int]
    source_mm: float = math.inf
    receptor_mm: float = 8.0

    @property
    def per_mm(self) -> float:
        """One over the source's distance; 0 for a parallel beam."""
        return 1 / self.source_mm

    @property
    def magnification(self) -> float:
        """Shadow on the receptor over the object, at the platform."""
        return 1 + self.receptor_mm * self.per_mm

    @property
    def receptor_mm_per_px(self) -> float:
        """Pixel pitch of the receptor."""
        return self.mm_per_px * self.magnification

    def enlargement(self, depth_mm: float) -> float:
        """Size of the shadow of something `depth_mm` nearer the tube; 1 at the platform."""
        return 1 / (1 - depth_mm * self.per_mm)

    def mm_per_px_at(self, depth_mm: float) -> float:
        """Object mm per film pixel, `depth_mm` nearer the tube than the platform's middle."""
        return self.mm_per_px / self.enlargement(depth_mm)

    def penumbra_px(self, focal_spot_mm: float) -> float:
        """Width of a sharp edge's half-shadow at the platform's depth, for a spot this wide, px."""
        return focal_spot_mm * self.receptor_mm * self.per_mm / self.receptor_mm_per_px

    def tilt_at(self, z_mm: float) -> float:
        """How far the ray that meets the axis at this height is off square to it, degrees.

        At the platform that is the central ray's; farther down the source stands more and more on
        the platform's side.
        """
        tilt = math.radians(self.tilt_deg)
        return math.degrees(math.atan(math.tan(tilt) + z_mm * self.per_mm / math.cos(tilt)))

    def to_film(self, t_mm: float, z_mm: float, y_mm: float = 0.0) -> tuple[float, float]:
        """Film point of a point of the implant's frame.

        Parameters
        ----------
        t_mm : float
            Across the axis, as the film shows it.
        z_mm : float
            Along the axis from the platform toward the apex.
        y_mm : float
            Toward the tube, from the plane through the axis that faces it.
        """
        tilt = math.radians(self.tilt_deg)
        down = z_mm * math.cos(tilt) + y_mm * math.sin(tilt)
        return self.project(t_mm, down, y_mm * math.cos(tilt) - z_mm * math.sin(tilt))

    def project(self, across_mm: float, along_mm: float, depth_mm: float) -> tuple[float, float]:
        """Film point of a point across, along the projected axis and `depth_mm` toward the tube."""
        size = self.enlargement(depth_mm) / self.mm_per_px
        t, w, turn = across_mm * size, along_mm * size, math.radians(self.turn_deg)
        cos, sin = math.cos(turn), math.sin(turn)
        return self.platform_px[0] + t * cos - w * sin, self.platform_px[1] + t * sin + w * cos

    def from_film(self, x_px: Array, y_px: Array) -> tuple[Array, Array]:
        """Across and along the projected axis, mm on the plane that carries the scale."""
        turn = math.radians(self.turn_deg)
        right, down = x_px - self.platform_px[0], y_px - self.platform_px[1]
        across = right * math.cos(turn) + down * math.sin(turn)
        along = down * math.cos(turn) - right * math.sin(turn)
        return across * self.mm_per_px, along * self.mm_per_px
