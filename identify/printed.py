"""From plain data to a tagged PDF, by typst; and to the same page in HTML."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Literal, get_args

import typst

Paper = Literal["a4", "us-letter"]
PAPERS: tuple[Paper, ...] = get_args(Paper)
HERE = Path(__file__).parent
FONTS = HERE / "fonts"
SHARED = "page.typ"


def print_pages(
    template: str, data: Mapping[str, Any], pictures: Mapping[str, str] | None = None
) -> bytes:
    """Set pages and return them as a PDF.

    Parameters
    ----------
    template : str
        One of the ``.typ`` files beside this one.
    data : mapping
        Everything on the page, as JSON; text is text, never markup.
    pictures : mapping of str to str, optional
        SVG by the file name the data calls it by.

    Returns
    -------
    bytes
        PDF 1.7 with tags (headings, tables, alternative text), nothing fetched; the same data
        gives the same bytes.
    """
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)  # typst reads pictures from files under its root only
        for name in (template, SHARED):
            (place / name).write_bytes((HERE / name).read_bytes())
        for name, svg in (pictures or {}).items():
            (place / name).write_text(svg, encoding="utf-8")
        return bytes(
            typst.compile(
                place / template,
                root=place,
                font_paths=[FONTS],
                ignore_system_fonts=True,
                sys_inputs={"data": json.dumps(data, ensure_ascii=False, allow_nan=False)},
                timestamp=0,
            )
        )
