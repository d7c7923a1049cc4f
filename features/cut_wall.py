"""A wall that flutes, grooves or a hole cut: where it comes out again, the body goes on.

No root form narrows and then widens again toward its end. Where both walls together stand clearly
farther out above a height, and farther out below it as well, than the body was found to be wide,
something was cut out of them, and the body is as wide there as the narrower of the two.
"""

from __future__ import annotations

from scipy import ndimage

from features.outline import Outline
from features.quantity import Quantity, from_parts, parts_of

# of the length: how far above a height a wall is looked at, what of the end is left out, where an
# edge may be lipped or rounded, and over how much a wall has to stand out (judgements)
ABOVE, END, STRETCH = 0.25, 0.04, 0.02
FEWEST_ROWS = 5  # one or two that stand out alone are no wall
CLEARLY = 1.5  # std of the width: less, and an outline's own scatter may pretend it
UNSURE_SHARE = 0.5  # of what is added (simulated: a third of it is missing still)


def uncut(
    width: Quantity, outline: Outline, around_px: tuple[float, float], *, tip_px: float
) -> Quantity:
    """Width at a height, or that of the walls on both sides of it if clearly more.

    Parameters
    ----------
    width : Quantity
        As it was found there, px.
    outline : Outline
    around_px : (from, to)
        Heights between which it was found.
    tip_px : float
        Where the body ends; its length, as the platform is at about 0.
    """
    if not width:
        return width
    from_px, to_px = around_px
    above = outline.between(from_px - ABOVE * tip_px, from_px)
    below = outline.between(to_px, (1 - END) * tip_px)
    if not (above.any() and below.any()):
        return width
    rows = max(round(STRETCH * tip_px / float(outline.z_px[1] - outline.z_px[0])), FEWEST_ROWS)
    steady = [ndimage.median_filter(w, rows) for w in (outline.left_px, outline.right_px)]
    least = sum(min(float(wall[above].max()), float(wall[below].max())) for wall in steady)
    added = least - width.value
    if added <= CLEARLY * width.std:
        return width
    return from_parts(least, "px", **parts_of(width) | {"cut_wall": UNSURE_SHARE * added})
