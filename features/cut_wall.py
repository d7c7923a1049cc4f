"""A wall that flutes, grooves or a hole cut: where it comes out again, the body goes on.

No root form narrows and then widens again toward its end. Where both walls together stand farther
out above a height, and farther out below it as well, than the body was found to be wide, something
was cut out of them, and the body is as wide there as the narrower of the two.
"""

from __future__ import annotations

from scipy import ndimage

from features.outline import Outline
from features.quantity import Quantity, from_parts, parts_of

# of the length: how far above a height a wall is looked at, and what of the end is left out, where
# an edge may be lipped or rounded (judgements)
ABOVE, END = 0.25, 0.04
STEADY = 5  # rows: one or two that stand out alone are no wall
UNSURE_SHARE = 0.5  # of what is added (simulated: a third of it is missing still)


def uncut(
    width: Quantity, outline: Outline, z_px: float, *, length_px: float, tip_px: float
) -> Quantity:
    """Width at a height, at least that of the walls on both sides of it.

    Parameters
    ----------
    width : Quantity
        As it was found there, px.
    outline : Outline
    z_px : float
    length_px, tip_px : float
        Of the body, and where it ends.
    """
    if not width:
        return width
    above = outline.between(z_px - ABOVE * length_px, z_px)
    below = outline.between(z_px, tip_px - END * length_px)
    least = 0.0
    for wall in (outline.left_px, outline.right_px):
        steady = ndimage.median_filter(wall, STEADY)
        if not steady[above].size or not steady[below].size:
            return width
        least += min(float(steady[above].max()), float(steady[below].max()))
    added = least - width.value
    if added <= 0:
        return width
    parts = parts_of(width) | {"cut_wall": UNSURE_SHARE * added}
    return from_parts(least, "px", **parts)
