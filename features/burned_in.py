"""Writing burnt into a film's corners: it may name the patient, and no reader can take it off."""

from __future__ import annotations

from functools import lru_cache

import cv2
import numpy as np
from numpy.typing import NDArray

from features.radiograph import Radiograph

WORDS = (
    "There seems to be writing in a corner of this film; if it names the patient, cut it off and "
    "open the film again, for it goes into every export and record."
)
CORNER_SHARE = 0.4, 0.15  # of width and height; viewers write their legends there
LEAST_LETTERS = 4  # fewer are a side marker ("R", "L") or specks
LETTER_SHARE = 0.008, 0.06  # of the film's longer side: from small print to a large legend
LEAST_PX = 7  # a legible capital
STANDS_OUT = 0.25  # of the grey range, against a letter's surroundings


@lru_cache(maxsize=8)
def carries_writing(film: Radiograph) -> bool:
    """Whether something is written in a film's corners; looked for once a film."""
    return writing_in_corners(film.pixels)


def writing_in_corners(pixels: NDArray[np.float32]) -> bool:
    """Whether a row of letter-like marks stands in a corner.

    Letters of a legend are flat (one grey), sharp, of one height and side by side; trabeculae,
    metal and the film's edge are not.

    Parameters
    ----------
    pixels : (H, W) float32 array, 0 to 1
    """
    height, width = pixels.shape
    wide, high = int(CORNER_SHARE[0] * width), int(CORNER_SHARE[1] * height)
    lowest = max(LEAST_PX, LETTER_SHARE[0] * max(height, width))
    sizes = lowest, max(lowest + 1, LETTER_SHARE[1] * max(height, width))
    corners = (pixels[rows, columns] for rows in (slice(high), slice(height - high, None))
               for columns in (slice(wide), slice(width - wide, None)))  # fmt: skip
    return any(_holds_writing(corner, sizes) for corner in corners)


def _holds_writing(corner: NDArray[np.float32], sizes: tuple[float, float]) -> bool:
    return any(
        _letters_in_a_row(_flat_and_bright(grey), sizes) >= LEAST_LETTERS
        for grey in (corner, 1 - corner)
    )


def _flat_and_bright(grey: NDArray[np.float32]) -> NDArray[np.uint8]:
    """Pixels at the corner's own top grey that stand far out from what lies around them."""
    around = cv2.medianBlur((grey * 255).astype(np.uint8), 31).astype(np.float32) / 255
    top = grey >= grey.max() - 0.02
    return np.asarray(top & (grey - around > STANDS_OUT), dtype=np.uint8)


def _letters_in_a_row(mask: NDArray[np.uint8], sizes: tuple[float, float]) -> int:
    _, _, stats, _ = cv2.connectedComponentsWithStats(mask, connectivity=8)
    low, high = sizes
    heights, widths = stats[1:, cv2.CC_STAT_HEIGHT], stats[1:, cv2.CC_STAT_WIDTH]
    bottoms = stats[1:, cv2.CC_STAT_TOP] + heights
    # thinner than a block: strokes fill a letter's box by a fifth to four fifths
    filled = stats[1:, cv2.CC_STAT_AREA] / np.maximum(heights * widths, 1)
    fits = (heights >= low) & (heights <= high) & (widths <= 1.5 * heights) & (filled < 0.85)
    return max(
        (
            int(np.sum(fits & (abs(bottoms - b) < 0.3 * h) & (abs(heights - h) < 0.35 * h)))
            for b, h in zip(bottoms[fits], heights[fits], strict=True)
        ),
        default=0,
    )
