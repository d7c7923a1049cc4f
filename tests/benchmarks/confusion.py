"""The confusion picture: truth in rows, mean stated probability in columns."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from identify.knowledge import Notes
from tests.benchmarks.judging import Judged

CELL, MARGIN = 30, 230


def draw_confusion(films: Sequence[Judged], notes: Notes, path: Path) -> None:
    """Write the picture as PNG: probability that is shared shows as a block, flips as a spot."""
    rows = sorted({film.case.family for film in films}, key=lambda key: _order(key, notes))
    columns = [*rows, *(key for key in films[0].chances if key not in rows)]
    means = np.array(
        [
            np.mean(
                [[f.chances[c] for c in columns] for f in films if f.case.family == row], axis=0
            )
            for row in rows
        ]
    )
    size = (MARGIN + CELL * len(columns) + 10, MARGIN + CELL * len(rows) + 10)
    image = Image.new("L", size, 255)
    draw = ImageDraw.Draw(image)
    for i, row in enumerate(rows):
        draw.text((MARGIN - 8, MARGIN + CELL * i + 8), row, fill=0, anchor="ra", font=_font())
        for j in range(len(columns)):
            _cell(draw, (MARGIN + CELL * j, MARGIN + CELL * i), float(means[i, j]))
    for j, column in enumerate(columns):
        image.paste(_upright(column), (MARGIN + CELL * j + 7, 8))
    image.save(path)


def _order(key: str, notes: Notes) -> tuple[str, str]:
    return notes.families[key].main_group or "", key


def _cell(draw: ImageDraw.ImageDraw, corner: tuple[int, int], share: float) -> None:
    x, y = corner
    draw.rectangle((x, y, x + CELL - 1, y + CELL - 1), fill=round(255 * (1 - share)), outline=225)
    if share >= 0.05:
        ink = 255 if share > 0.5 else 0
        text = f"{100 * share:.0f}"
        draw.text((x + CELL / 2, y + CELL / 2), text, fill=ink, anchor="mm", font=_font(11))


def _upright(text: str) -> Image.Image:
    label = Image.new("L", (MARGIN - 16, 16), 255)
    ImageDraw.Draw(label).text((0, 1), text, fill=0, font=_font())
    return label.rotate(90, expand=True)


def _font(size: int = 12) -> ImageFont.FreeTypeFont | ImageFont.ImageFont:
    return ImageFont.load_default(size)
