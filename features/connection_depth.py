"""How deep a connection reaches inside the implant, by the gap left below a seated part."""

from __future__ import annotations

import numpy as np
from scipy import special

from features.finding import Finding, Form
from features.gaps import TOO_FAINT
from features.screw_gap import Gap
from features.top import Top

FROM, DEEP = 0.15, 0.50  # of the platform's width: where it is shallow, and where deep (definition)
SOFT = 0.03  # of the platform's width: how well the heights are told (simulated)
SURE = 0.95
UNSEEN = 0.8  # that where no gap is seen above an empty end, there is none (a judgement)


def connection_depth(gap: Gap | None, above: Top, channel: Finding, *, faint: bool) -> Form:
    """Tell how deep the space for a seated part reaches: none, shallow or deep; or "no screw".

    Parameters
    ----------
    gap : Gap or None
        As from `find_gap`.
    above : Top
        What was seen above the platform.
    channel : Finding
        Of the channel: whether its empty end shows below what is in it.
    faint : bool
        The body is too faint or burnt out to look inside.
    """
    if above.form.state != "covered":
        return Form("not assessable", 1.0, "nothing is seen seated on the platform")
    if gap:
        return _state(gap.narrows)
    if faint:
        return Form("not assessable", 1.0, TOO_FAINT)
    if channel.state == "present":
        return Form("no screw", UNSEEN)
    return Form("not assessable", 1.0, "no gap is seen below a part, beside its screw")


def _state(floor: float) -> Form:
    below = special.ndtr((np.array([FROM, DEEP]) - floor) / SOFT)
    chances = {"none": below[0], "shallow": below[1] - below[0], "deep": 1 - below[1]}
    state = max(chances, key=lambda key: float(chances[key]))
    return Form(state, SURE * float(chances[state]))
