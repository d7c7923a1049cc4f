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
SHALLOWEST_SURE = 0.016  # of the body width, where the comb is beyond doubt
SHALLOWEST_HOLED = 0.045  # rows of holes dent the wall by up to this much (simulated)
SHALLOW = 0.4  # of the usual band along the wall
COARSEST_OF_ALL = 1.45  # of the body width: the coarsest wood-screw like thread on a thin body
SLOW_FOR_COARSE = 0.4  # of the body width
# what a second or third look must find to be believed (simulated)
SURE_SHARE, MANY, MANY_COARSE = 0.55, 4, 6
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
    opened: float  # probability that the body is hollow and open at the apex

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
    elif said := collar.tip_note(tip.value, mark):
        notes.append(said)
    width = outline.typical_width_px
    length = strip.axis.length_px
    thread = _any_thread(strip, outline)
    pitch = thread.pitch_px.value if thread.pitch_px else 0.0
    end = tip.value if tip else length
    gap_map = gaps.find_gaps(strip, outline, tip_px=end, pitch_px=pitch)
    opened = vents.open_end_probability(gap_map, tip_px=end, width_px=width)
    holed = vents.perforated(strip, gap_map, tip_px=end, width_px=width)
    thread, walls = _deep_enough(strip, outline, thread, holed=holed or opened > 0.5)
    helix = read_helix(strip, outline, thread, hollow=holed)
    return Body(strip, outline, mark, platform, tip, thread, walls, gap_map, helix, opened), notes


def _any_thread(strip: Strip, outline: Outline) -> Thread:
    """The usual thread; else one so shallow, or so coarse, that it takes a look of its own."""
    length, width = strip.axis.length_px, outline.typical_width_px
    ends = (0.05 * length, 0.95 * length)
    usual = find_thread(wall_comb(strip, outline, *ends), width_px=width)
    if usual.pitch_px or "coarse" in usual.pitch_px.reason:
        return usual
    near = wall_comb(strip, outline, *ends, fineness=SHALLOW)
    wide = wall_comb(strip, outline, *ends, slow=SLOW_FOR_COARSE)
    shallow = find_thread(near, width_px=width)
    if _sure(shallow, MANY):
        return shallow
    coarse = find_thread(wide, width_px=width, finest=COARSEST, coarsest=COARSEST_OF_ALL)
    return coarse if _sure(coarse, MANY_COARSE) else usual


def _sure(thread: Thread, many: int) -> bool:
    seen = min(len(thread.crests_left_px), len(thread.crests_right_px))
    return bool(thread.pitch_px) and thread.share > SURE_SHARE and seen >= many


def _deep_enough(
    strip: Strip, outline: Outline, thread: Thread, *, holed: bool
) -> tuple[Thread, widths.Walls]:
    """A comb without depth is bone texture or a row of holes, not a thread."""
    walls = widths.fit_walls(strip, outline, thread)
    depths = [d for d, _ in thread_depths(walls)]
    shallowest = SHALLOWEST_SURE if thread.share > SURE_SHARE else SHALLOWEST
    least = (SHALLOWEST_HOLED if holed else shallowest) * outline.typical_width_px
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
