"""Find the implant on the film: axis, ends, walls and thread, from which everything is measured."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from features import apex, collar, gaps, vents, widths
from features.helix import Helix, read_helix
from features.marks import ImplantMark
from features.outline import Outline, follow_implant
from features.quantity import Measured, NotMeasured, Quantity
from features.strip import Strip
from features.threads import COARSEST, Thread, find_thread, wall_comb

SHALLOWEST = 0.022  # of the body width: the shallowest thread in use is about three times this
SHALLOWEST_HOLED = 0.07  # rows of holes dent the wall by up to this much (simulated)
SHALLOW = 0.4  # of the usual band along the wall
COARSEST_OF_ALL = 0.95  # of the body width: the coarsest wood-screw like thread on a thin body
SURE_SHARE, MANY = 0.6, 3  # what a second or third look must find to be believed (simulated)
AXIS_TOLERANCE_DEG = 4.0  # a click's error over an implant's length; more is worth saying


@dataclass(frozen=True, slots=True, eq=False)
class Body:
    """What every measurement starts from; lengths in px."""

    strip: Strip
    outline: Outline
    mark: ImplantMark
    platform: Measured
    tip: Quantity
    thread: Thread
    walls: widths.Walls
    gap_map: gaps.GapMap
    helix: Helix

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


def find_body(pixels: NDArray[np.float32], mark: ImplantMark) -> tuple[Body, list[str]]:
    """Find the body under a mark; with the notes a person should read."""
    strip, outline, turned = follow_implant(pixels, mark)
    notes = []
    if abs(turned) > AXIS_TOLERANCE_DEG:
        notes.append(
            f"the walls run {abs(turned):.0f}° off the marked axis; check platform and apex marks"
        )
    platform, note = collar.find_platform(strip, outline, mark)
    notes += [note] if note else []
    tip = apex.find_tip(strip, outline)
    if not tip:
        notes.append(f"the apex was taken where it was marked: {tip.reason}")
    width = outline.typical_width_px
    length = strip.axis.length_px
    thread = _any_thread(strip, outline)
    pitch = thread.pitch_px.value if thread.pitch_px else 0.0
    end = tip.value if tip else length
    gap_map = gaps.find_gaps(strip, outline, tip_px=end, pitch_px=pitch)
    holed = vents.perforated(strip, gap_map, tip_px=end, width_px=width)
    thread, walls = _deep_enough(strip, outline, thread, holed=holed)
    helix = read_helix(strip, outline, thread, hollow=holed)
    return Body(strip, outline, mark, platform, tip, thread, walls, gap_map, helix), notes


def _any_thread(strip: Strip, outline: Outline) -> Thread:
    """The usual thread; else a shallow one, seen only close to the wall; else a very coarse one."""
    length, width = strip.axis.length_px, outline.typical_width_px
    ends = (0.05 * length, 0.95 * length)
    usual = wall_comb(strip, outline, *ends)
    thread = find_thread(usual, width_px=width)
    if thread.pitch_px or "coarse" in thread.pitch_px.reason:
        return thread
    shallow = find_thread(wall_comb(strip, outline, *ends, fineness=SHALLOW), width_px=width)
    if shallow.pitch_px and shallow.share > SURE_SHARE:
        return shallow
    coarse = find_thread(usual, width_px=width, finest=COARSEST, coarsest=COARSEST_OF_ALL)
    if coarse.pitch_px and coarse.share > SURE_SHARE and len(coarse.crests_left_px) > MANY:
        return coarse
    return thread


def _deep_enough(
    strip: Strip, outline: Outline, thread: Thread, *, holed: bool
) -> tuple[Thread, widths.Walls]:
    """A comb without depth is bone texture or a row of holes, not a thread."""
    walls = widths.fit_walls(strip, outline, thread)
    depths = [d for d, _ in thread_depths(walls)]
    least = (SHALLOWEST_HOLED if holed else SHALLOWEST) * outline.typical_width_px
    if not depths or max(depths) > least:
        return thread, walls
    reason = "the walls repeat but have no depth: not a thread"
    flat = Thread(NotMeasured(reason), 0.15, thread.share)
    return flat, widths.fit_walls(strip, outline, flat)


def thread_depths(walls: widths.Walls) -> list[tuple[float, float]]:
    """Thread depth and its std on each wall where it could be fitted, px."""
    return [
        (cell.crest_px.value - cell.root_px.value, cell.root_px.std)
        for wall in (walls.left, walls.right)
        for _, _, cell in wall.cells
        if cell.crest_px and cell.root_px
    ]
