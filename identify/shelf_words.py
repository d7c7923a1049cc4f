"""What people read about the shelf: which size fits, which parts there are, how old a look is."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from identify.words import percent

if TYPE_CHECKING:
    from identify.shelf import Shelf, Size
    from identify.size_match import SizeMatch

LONG_AGO_DAYS = 365  # after a year stock and supply may have changed; common practice
SHOWN = 3
WORTH_NAMING = 0.01


def match_sentence(matched: SizeMatch, shelf: Shelf, title: str) -> str:
    """Say what the sizes on the shelf make of it: "4.2 platform 93 %, 3.5 5 %, another 2 %"."""
    if not shelf:
        return "Nothing is on the shelf yet: write down the systems you work with."
    if not shelf.sizes_of(matched.family):
        return f"No size on the shelf belongs to this family ({title})."
    if not matched.counted:
        return "No width or length was measured, so that sizes cannot be told apart."
    widths = [
        (width, chance) for width, chance in matched.platforms[:SHOWN] if chance >= WORTH_NAMING
    ]
    named = [
        f"{'platform not written' if width is None else f'{width:g} mm platform'} {percent(chance)}"
        for width, chance in widths
    ]
    return f"{', '.join([*named, f'a size not on the shelf {percent(matched.other)}'])}."


def size_words(size: Size) -> str:
    """Say all that a row writes of its size: "platform 4.2 mm, body 3.9 mm, 8 to 14 mm long"."""
    lengths = sorted({size.lengths_mm[0], size.lengths_mm[-1]}) if size.lengths_mm else []
    index = {"present": "with an index", "absent": "no index"}
    said = (
        size.platform_width_mm and f"platform {size.platform_width_mm:g} mm",
        size.body_width_mm and f"body {size.body_width_mm:g} mm",
        lengths and f"{' to '.join(f'{mm:g}' for mm in lengths)} mm long",
        size.screw_thread and f"screw {size.screw_thread}",
        index.get(size.index),
    )
    return ", ".join(text for text in said if text)


def checked_text(checked_on: date, today: date) -> str:
    """Say when somebody last looked, and that it may be too long ago."""
    text = f"checked {checked_on.isoformat()}"
    old = (today - checked_on).days > LONG_AGO_DAYS
    return f"{text}, ask again" if old else text
