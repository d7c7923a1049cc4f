"""Tables of the accuracy benchmark."""

from __future__ import annotations

from typing import Any

import numpy as np
from scipy import stats

LENGTHS = (
    *("platform_width_mm", "coronal_width_mm", "apical_width_mm", "core_width_mm", "length_mm"),
    *("taper_deg", "thread_pitch_mm", "thread_depth_mm", "bore_width_mm", "bore_depth_mm"),
    *("bore_mouth_mm", "bore_cone_deg", "collar_height_mm", "crest_mesial_mm", "crest_distal_mm"),
    "tilt_deg",
)
SIZES = tuple(k for k in LENGTHS if k.endswith("_mm") and not k.startswith(("collar", "crest")))
NEEDS_BORE = ("bore_width_mm", "bore_depth_mm", "bore_mouth_mm", "bore_cone_deg")
Rows = list[dict[str, Any]]


def visible(row: dict[str, Any], key: str) -> bool:
    """Whether the truth says that this could be measured on this film."""
    if row["truth"]["measures"].get(key) is None:
        return False
    if key in ("bore_mouth_mm", "bore_cone_deg") and row["seated"] != "nothing":
        return False
    return key not in NEEDS_BORE or bool(row["truth"]["findings"]["bore"]["detectable"])


def errors(rows: Rows, key: str) -> tuple[np.ndarray, np.ndarray, int]:
    """Errors, stated stds, and how many visible ones had no number."""
    told = [row for row in rows if visible(row, key)]
    pairs = [(row["truth"]["measures"][key], row["measures"].get(key, "")) for row in told]
    known = [(found[0] - true, found[1]) for true, found in pairs if isinstance(found, list)]
    error, std = np.array(known).reshape(-1, 2).T
    return error, std, len(pairs) - len(known)


def show_measures(rows: Rows) -> None:
    """One line a measure."""
    print(
        f"{'measure':18} {'n':>4} {'none':>5} {'bias':>8} {'RMSE':>8} {'median':>8} {'90 %':>7} "
        f"{'relative':>9} {'÷ std':>6} {'95 %':>5}   {'plain RMSE':>10} {'n':>4}"
    )
    for key in LENGTHS:
        error, std, silent = errors(rows, key)
        if not len(error):
            continue
        rmse = float(np.sqrt(np.mean(error**2)))
        print(
            f"{key:18} {len(error):4d} {silent / (len(error) + silent):5.0%} {error.mean():+8.4f} "
            f"{rmse:8.4f} {np.median(np.abs(error)):8.4f} {np.percentile(np.abs(error), 90):7.3f} "
            f"{_relative(rows, key):>9} {rmse / std.mean():6.2f} "
            f"{np.mean(np.abs(error) < 1.96 * std):5.0%}   {_plain(rows, key)}"
        )


def _relative(rows: Rows, key: str) -> str:
    """Root mean square of the errors as shares of what each is an error of; of sizes only."""
    if key not in SIZES:
        return ""
    told = [
        (row["truth"]["measures"][key], row["measures"].get(key))
        for row in rows
        if visible(row, key)
    ]
    shares = [found[0] / true - 1 for true, found in told if isinstance(found, list) and true]
    return f"{np.sqrt(np.mean(np.square(shares))):.2%}"


def _plain(rows: Rows, key: str) -> str:
    told = [(row["truth"]["measures"].get(key), row["plain"].get(key)) for row in rows]
    error = np.array([found - true for true, found in told if None not in (true, found)])
    return f"{np.sqrt(np.mean(error**2)):10.3f} {len(error):4d}" if len(error) else ""


def show_detections(rows: Rows) -> None:
    """True and false positive rates with 95 % intervals (Wilson), and the silent share."""
    print(
        f"\n{'finding':18} {'seen where there':>30} {'seen where not':>30} {'not assessable':>15}"
    )
    for key in rows[0]["findings"]:
        named = [row for row in rows if key in row["truth"]["findings"]]  # not by older films
        states = [(row["truth"]["findings"][key], row["findings"][key]) for row in named]
        there = [state for told, state in states if told["detectable"]]
        nothing = [state for told, state in states if not told["there"]]
        silent = np.mean([state == "not assessable" for _, state in states])
        print(f"{key:18} {_rate(there):>30} {_rate(nothing):>30} {silent:15.0%}")
    _show_starts(rows)


def _rate(states: list[str]) -> str:
    said = [state == "present" for state in states if state != "not assessable"]
    return _share(said)


def _share(hits: list[bool]) -> str:
    if not hits:
        return "-"
    interval = stats.binomtest(sum(hits), len(hits)).proportion_ci(method="wilson")
    return f"{np.mean(hits):.3f} ({interval.low:.3f}-{interval.high:.3f}) of {len(hits)}"


def _show_starts(rows: Rows) -> None:
    deep, rings = [], []
    for row in rows:
        true, found = row["truth"]["forms"]["thread_starts"], row["forms"]["thread_starts"]
        depth = row["truth"]["measures"].get("thread_depth_mm")
        if true is None or depth is None or found == "not assessable":
            continue
        rings.append((true == "rings") == (found == "rings"))
        if depth / row["truth"]["mm_per_px"] >= 4 and "rings" not in (true, found):
            deep.append(true == found)
    print(f"\nrings against helix right: {_share(rings)}")
    print(f"starts odd or even right, depth of 4 px and more: {_share(deep)}")
    for key in ("collar_form", "apex_form", "top_form"):
        told = [(row["truth"]["forms"].get(key), row["forms"][key]) for row in rows]
        print(
            f"{key} right: "
            + _share([t == f for t, f in told if t is not None and f != "not assessable"])
        )
