"""How far readings and answers are to be trusted: what every item, and one item, may be astray."""

from __future__ import annotations

from dataclasses import dataclass

# One reading in 200 is of something other than what it is taken for: a choice of ours that keeps
# one wrong reading from outweighing everything else (it costs at most 23 points).
FLOOR = 0.005


@dataclass(frozen=True, slots=True)
class Trust:
    """How the readings of one item err against the uncertainty they state.

    Attributes
    ----------
    astray : float
        Share that are of something else altogether.
    sharp, narrow : float
        Share of the others that err by `narrow` times what they state; the rest by as much.
    """

    astray: float = FLOOR
    sharp: float = 0.0
    narrow: float = 1.0


AS_STATED = Trust()
