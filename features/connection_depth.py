"""How deep a connection reaches inside the implant.

By the gap left below a seated part; or, in a channel that is open, by where it narrows.
"""

from __future__ import annotations

import math

import numpy as np
from scipy import special

from features.bore import Bore
from features.finding import Form
from features.gaps import TOO_FAINT
from features.quantity import Measured
from features.screw_gap import Gap
from features.top import BARE, Top

FROM, DEEP = 0.15, 0.50  # of the platform's width: where it is shallow, and where deep (definition)
SOFT = 0.025  # of the platform's width: how well a floor is told below the platform (simulated)
SURE = 0.95
# of the body's contrast: where an empty channel's end dips so far, a gap higher up would be seen,
# mostly; so below full metal a screw's channel begins at the platform (simulated)
CLEAR, THEN_NONE = 0.07, 0.8
# of the platform's width: a gap that begins there, and is no wider than so much of the screw's own
# channel, is that channel (simulated: what is wider begins a space for a part)
AT_PLATFORM, OWN = 0.1, 0.97
SOLID = "what stands on the platform belongs to the implant"
UNOPEN = "the channel is not seen open from the platform down"
UNSEEN = "no gap is seen below a part, beside its screw"


def connection_depth(
    gap: Gap | None,
    above: Top,
    channel: Bore,
    *,
    platform: Measured,
    rim_px: float,
    faint: bool,
) -> Form:
    """Tell how deep the space for a seated part reaches: none, shallow or deep; or "no screw".

    Parameters
    ----------
    gap : Gap or None
        As from `find_gap`.
    above : Top
        What was seen above the platform.
    channel : Bore
        Its empty end, where it shows below what is in it, or all of it.
    platform : Measured
        Height of the platform, from which all depths count.
    rim_px : float
        Its width.
    faint : bool
        The body is too faint or burnt out to look inside.
    """
    if above.form.state in BARE:
        return _of_an_open(channel, platform.std, rim_px)
    if above.form.state != "covered":
        return Form("not assessable", 1.0, SOLID)
    if gap:
        floor = 0.0 if _is_own_channel(gap, channel) else gap.narrows
        return _state(floor, platform.std / gap.rim_px)
    return _without_gap(channel, faint=faint)


def _of_an_open(channel: Bore, platform_std_px: float, rim_px: float) -> Form:
    """By how far down it is wider than where its screw turns; a smooth well holds none."""
    if channel.wide_to_px is None:
        return Form("not assessable", 1.0, UNOPEN)
    if not channel.wide_to_px and channel.tapped < 0.5:
        return Form("no screw", SURE * (1 - channel.tapped))
    return _state(channel.wide_to_px / rim_px, platform_std_px / rim_px)


def _is_own_channel(gap: Gap, channel: Bore) -> bool:
    """Whether it is the screw's own tapped channel that runs down from the platform."""
    if gap.begins > AT_PLATFORM or not channel.width_px:
        return False
    return gap.space * gap.rim_px < OWN * channel.width_px.value


def _state(floor: float, platform_std: float) -> Form:
    soft = math.hypot(SOFT, platform_std)
    below = special.ndtr((np.array([FROM, DEEP]) - floor) / soft)
    chances = {"none": below[0], "shallow": below[1] - below[0], "deep": 1 - below[1]}
    state = max(chances, key=lambda key: float(chances[key]))
    return Form(state, SURE * float(chances[state]))


def _without_gap(channel: Bore, *, faint: bool) -> Form:
    """A smooth well holds a post and no screw; a tapped end says that a screw is in there."""
    seen = channel.finding.state == "present"
    if seen and channel.tapped < 0.5:
        return Form("no screw", SURE * (1 - channel.tapped))
    if seen and channel.clear > CLEAR and not faint:
        return Form("none", THEN_NONE * channel.tapped)
    return Form("not assessable", 1.0, TOO_FAINT if faint else UNSEEN)
