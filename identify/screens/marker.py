"""The film with handles that can be dragged: the one place where browser and film pixels meet."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import streamlit as st
from streamlit.runtime import get_instance

from features.marks import Point
from identify.screens.marking import Points

_HERE = Path(__file__).parent


def _text(name: str) -> str:
    return (_HERE / name).read_text(encoding="utf-8")


def script() -> str:
    """Return the component's script: two files, for the browser takes one."""
    return _text("marker_view.js") + _text("marker.js")


_mount = st.components.v2.component(
    "film_marker",
    html=_text("marker.html"),
    css=_text("marker.css"),
    js=script(),
)


def media_url(png: bytes, tag: str) -> str:
    """Address of a picture on the app's own server.

    Called on every run: a full run that does not name a picture lets it go.
    """
    return get_instance().media_file_mgr.add(png, "image/png", tag)


def to_browser(points: Points) -> dict[str, dict[str, float]]:
    """Film points for the browser, whose pixel i covers [i, i + 1) and is centred on i + 0.5."""
    return {name: {"x": x + 0.5, "y": y + 0.5} for name, (x, y) in points.items()}


def to_film(points: dict[str, dict[str, float]]) -> Points:
    """Browser points as film points, where an integer is a pixel's centre."""
    return {name: (point["x"] - 0.5, point["y"] - 0.5) for name, point in points.items()}


def sent_points(value: dict[str, Any] | None, rev: str) -> tuple[Points, str] | None:
    """Points that came back and the handle moved last; None if made under an older revision.

    The browser sends its last value again with every run, so an old one must not undo a change
    made here.
    """
    if not value or value["rev"] != rev:
        return None
    return to_film(value["points"]), value["moved"]


def asked_point(value: dict[str, Any]) -> Point:
    """Film point of a click on the film."""
    return to_film({"click": value})["click"]


def show_marker(
    png: bytes,
    points: Points,
    drawing: dict[str, Any],
    *,
    rev: str,
    on: Mapping[str, Any],
) -> None:
    """Draw the film with its handles.

    `drawing` holds ``handles``, ``links`` and ``asks``: whether a click asks for a proposal. `on`
    holds what to call for ``marks``, ``undo`` and ``ask``. That runs before the script, even when
    the user has already left for another page: the marks are saved there.
    """
    data = {"src": media_url(png, "film_marker"), "points": to_browser(points), "rev": rev}
    _mount(
        key="marker",
        data=data | drawing,
        **{f"on_{name}_change": then for name, then in on.items()},
    )
