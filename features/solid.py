"""Whether the body is metal all through beneath what is seated on it.

Under a part the channel itself is not assessable: a screw may fill it. That nothing shows at all,
no gap beside a screw and no empty end below one, is a finding of its own.
"""

from __future__ import annotations

from features.finding import MOST_SURE, Finding
from features.gaps import TOO_FAINT
from features.top import Top

SURE = 0.85  # that a body without any gap has none, gaps being hard to see (a judgement)


def solid_finding(channel: Finding, above: Top, *, gapped: bool, faint: bool) -> Finding:
    """Tell solid metal under a seated part from a channel of which something shows.

    Parameters
    ----------
    channel : Finding
        Of the inner channel.
    above : Top
        What was seen above the platform.
    gapped : bool
        A gap was seen beside a screw.
    faint : bool
        The body is too faint or burnt out to look inside.
    """
    if above.form.state != "covered":
        return Finding("not assessable", 1.0, "nothing is seen seated: the open channel tells")
    if channel.state == "present":
        return Finding("absent", channel.probability)
    if gapped:
        return Finding("absent", MOST_SURE)
    if faint:
        return Finding("not assessable", 1.0, TOO_FAINT)
    return Finding("present", SURE, "no gap beside a screw and no empty end below one is seen")
