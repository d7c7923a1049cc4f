"""Whether what is seated on the platform is narrower than the platform where the two meet."""

from __future__ import annotations

from scipy import special

from features.finding import Finding, finding_by
from features.marks import ImplantMark
from features.top import Top

NARROWER = 0.962  # of the rim's width: below it a shelf of implant shows at either side (simulated)
SOFT = 0.012  # how gradually that is told apart: blur, tilt and a rounded rim (simulated)
SHOULDER = 0.75


def inset_finding(above: Top, mark: ImplantMark) -> Finding:
    """Tell a shelf of implant beside the part seated, from the narrowest place near the joint.

    Parameters
    ----------
    above : Top
        What was seen above the platform.
    mark : ImplantMark
        A joint that is hidden leaves nothing to compare.
    """
    if above.form.state != "covered":
        return Finding("not assessable", 1.0, "nothing is seen seated on the platform")
    if mark.joint == "hidden":
        return Finding("not assessable", 1.0, "the joint between implant and part is hidden")
    if above.sloping:
        return Finding("absent", SHOULDER)  # the implant's own shoulder, with the part on it
    return finding_by(float(special.expit((NARROWER - above.foot) / SOFT)))
