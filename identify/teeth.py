"""Tooth numbers: FDI (ISO 3950), with the Universal number of the same tooth beside it."""

from __future__ import annotations

# Universal numbering runs from the upper right along the upper arch and back along the lower:
# 1 to 32 for permanent teeth, A to T for deciduous ones.
PERMANENT = {1: (9, -1), 2: (8, 1), 3: (25, -1), 4: (24, 1)}  # quadrant: number before the midline
PERMANENT_TEETH = tuple(f"{quadrant}{place}" for quadrant in PERMANENT for place in range(1, 9))
DECIDUOUS = {5: (6, -1), 6: (5, 1), 7: (16, -1), 8: (15, 1)}


def universal_number(fdi: str) -> str:
    """Universal number of a tooth in FDI notation: 18 → 1, 11 → 8, 38 → 17, 55 → A, 85 → T."""
    quadrant, place = int(fdi[0]), int(fdi[1])
    start, way = (PERMANENT | DECIDUOUS)[quadrant]
    number = start + way * place
    return str(number) if quadrant in PERMANENT else chr(ord("A") + number - 1)


def tooth_text(fdi: str) -> str:
    """Words for a tooth in both notations."""
    return f"{fdi} (FDI), #{universal_number(fdi)} (Universal)"
