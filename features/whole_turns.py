"""A pitch read at a half or a third of a turn, put right by the edge of the walls."""

from __future__ import annotations

from dataclasses import replace

from features.outline import Outline
from features.quantity import Measured, NotMeasured
from features.thread_judge import BELIEVED, SLOW_FOR_COARSE, SURE, edge_comb, thread_probability
from features.threads import Thread, comb_share, strongest_comb

OCTAVE = 1.5  # of the edge's share; 0.6-1.4 for threads read right, 2-20 at half pitch (simulated)
CLEARLY = 2.0  # … again: then most of its wave is as long as the whole turn, whatever the grey says
HARDLY = 0.1  # … of a turn that grey alone speaks for, and not loudly (one thread in 860 simulated)
TWELFTH = 10.0  # … of a third; below 6 for threads read right, 25-31 at a third (simulated)
MORE_LIKELY = 0.5  # enough for the whole turn of a thread that is believed
HALF = NotMeasured("turns are seen, but not whether they are whole turns or halves")


def whole_turns(thread: Thread, outline: Outline) -> Thread:
    """Double or treble a pitch that was read at a half or a third of a turn.

    A thread with wide, flat valleys or crests repeats so in grey; its edge tells the whole turn.
    Where it tells neither clearly, the pitch is not told.
    """
    if not isinstance(thread.pitch_px, Measured):
        return thread
    half, third = (
        _Parts(thread, outline, thread.pitch_px.value, parts, more)
        for parts, more in ((2, OCTAVE), (3, TWELFTH))
    )
    lost = thread.probability < SURE and half.longer and half.part < HARDLY
    told = Thread(HALF, thread.probability) if lost else thread
    return half.whole_turn() or third.whole_turn() or told


class _Parts:
    """A thread whose pitch may be one of so many parts of a turn, and how its edge follows both."""

    def __init__(
        self, thread: Thread, outline: Outline, pitch_px: float, parts: int, more: float
    ) -> None:
        self.thread, self.outline, self.more = thread, outline, more
        self.whole_px = parts * pitch_px
        slow = min(SLOW_FOR_COARSE, 0.8 * self.whole_px / outline.typical_width_px)
        self.comb = edge_comb(outline, thread.from_px, thread.to_px, slow=slow)
        sides = self.comb.left, self.comb.right
        self.part, self.whole = (
            comb_share(self.comb.z_px, sides, self.whole_px / n) for n in (parts, 1)
        )

    @property
    def longer(self) -> bool:
        """Whether the edge follows the whole turn so much better."""
        return self.whole >= self.more * self.part

    def whole_turn(self) -> Thread | None:
        """The thread so many times as coarse, where the edge follows it so many times as well."""
        if not self.longer:
            return None
        whole, width = self.whole_px, self.outline.typical_width_px
        near = {"finest": 0.85 * whole / width, "coarsest": 1.2 * whole / width}
        found = strongest_comb(self.comb, width_px=width, **near)
        clearly = self.whole > max(self.more, CLEARLY) * self.part
        # an edge that is lost among the turns weaves at any pitch
        if not found.pitch_px or (found.share < self.thread.share and not clearly):
            return None
        chance = thread_probability(found, self.outline)
        if chance < (MORE_LIKELY if clearly else BELIEVED):
            return None
        return replace(found, probability=max(chance, self.thread.probability))
