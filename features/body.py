"""Find the implant on the film: axis, ends, walls and thread, from which everything is measured."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from features import apex, collar, gaps, vents, widths
from features.end_shape import TILTS_DEG as END_TILTS_DEG
from features.end_shape import EndShape
from features.helix import Helix, read_helix
from features.marks import ImplantMark
from features.outline import Outline, follow_implant
from features.perforations import perforated
from features.pitch import refine_pitch
from features.quantity import Measured, Quantity
from features.shear import wall_shears
from features.slant import Slant, slant_of
from features.strip import Strip
from features.thread_search import search_thread
from features.threads import Thread
from features.wall_tilt import tilt_by_walls

AXIS_TOLERANCE_DEG = 4.0  # a click's error over an implant's length; more is worth saying


@dataclass(frozen=True, slots=True, eq=False)
class Body:
    """What every measurement starts from; lengths in px."""

    strip: Strip
    outline: Outline
    mark: ImplantMark
    edge: Measured  # where the platform's shoulders are seen, drawn to its mark
    rim_px: float  # how far a beam along the axis would throw that edge off the platform's plane
    platform: Measured
    tip: Quantity
    thread: Thread
    walls: widths.Walls
    gap_map: gaps.GapMap
    helix: Helix
    slant: Slant
    opened: float  # probability that the body is hollow and open at the apex
    holed: bool  # whether rows of holes go through its wall
    end_shape: EndShape | None

    @property
    def length_px(self) -> float:
        """Platform to apex."""
        end = self.tip.value if self.tip else self.strip.axis.length_px
        return end - self.platform.value

    @property
    def tip_px(self) -> float:
        """Height of the apex on the strip: found, or else as marked."""
        return self.tip.value if self.tip else self.strip.axis.length_px

    @property
    def width_px(self) -> float:
        """Median width of the outline."""
        return self.outline.typical_width_px

    def height(self, share: float) -> float:
        """Height on the strip at a share of the length from the platform."""
        return self.platform.value + share * self.length_px


def find_body(
    pixels: NDArray[np.float32], mark: ImplantMark, *, holder: bool = False
) -> tuple[Body, list[str]]:
    """Find the body under a mark; with the notes a person should read.

    `holder`: the receptor was held parallel to the implant.
    """
    strip, outline, turned = follow_implant(pixels, mark)
    notes = []
    if abs(turned) > AXIS_TOLERANCE_DEG:
        notes.append(
            f"the walls run {abs(turned):.0f}° off the marked axis; check platform and apex marks"
        )
    shoulders = collar.find_edge(strip, outline, mark)
    tip = apex.find_tip(strip, outline, mark.std_px)
    if not tip:
        notes.append(f"the apex was taken where it was marked: {tip.reason}")
    elif said := collar.tip_note(tip.value, mark):
        notes.append(said)
    width = outline.typical_width_px
    length = strip.axis.length_px
    thread = refine_pitch(strip, outline, search_thread(strip, outline))
    pitch = thread.pitch_px.value if thread.pitch_px else 0.0
    end = tip.value if tip else length
    gap_map = gaps.find_gaps(strip, outline, tip_px=end, pitch_px=pitch)
    opened = vents.open_end_probability(gap_map, tip_px=end, width_px=width)
    holed = perforated(strip, gap_map, tip_px=end, width_px=width)
    helix = read_helix(strip, outline, thread, hollow=holed)
    walls = _walls(strip, outline, thread, helix, hollow=holed or opened > 0.5)
    slant = slant_of(helix.tilt_deg, holder=holder, slender=length / width)
    shape = apex.end_shape(outline, strip, tip_px=end, slant=slant, background=gap_map.beside)
    if shape and opened <= 0.5:
        slant = slant.weighed(END_TILTS_DEG, shape.tilt_fit)
    edge, rim_px, note = collar.weigh_edge(
        shoulders, mark, overhang_px=collar.rim_overhang(outline), slant=slant
    )
    notes += [note] if note else []
    platform = collar.platform_plane(edge, rim_px, slant)
    found = (strip, outline, mark, edge, rim_px, platform, tip, thread, walls, gap_map, helix)
    return Body(*found, slant, opened, holed, shape), notes


def _walls(
    strip: Strip, outline: Outline, thread: Thread, helix: Helix, *, hollow: bool
) -> widths.Walls:
    if not thread.pitch_px or hollow:  # a hollow body has no chord for the thread to climb along
        return widths.fit_walls(strip, outline, thread, (0.0, 0.0))
    if not helix.tilt_deg:
        helix = replace(helix, tilt_deg=tilt_by_walls(strip, outline, thread, helix))
    radius = outline.typical_width_px / 2
    shears = wall_shears(helix, radius_px=radius, pitch_px=thread.pitch_px.value)
    return widths.fit_walls(strip, outline, thread, shears)
