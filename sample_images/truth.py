"""The truth of a simulated film, by the definitions the measuring side uses.

Lengths are those of the object in mm, whatever the film's magnification. What does not exist is
None. `detectable` is a simple rule, not a computed contrast: it says whether this view could show
the thing at all (a cross-hole must open toward the beam, a bore must be empty, fine threads need
pixels); see `_findings`.
"""

from __future__ import annotations

import math
from typing import Any

from sample_images.fixture import Fixture
from sample_images.rays import View
from sample_images.seated import Seated

MINIMUM_STEP_MM = 0.05  # a rim this little wider or narrower than the body counts as flush


def measures(fixture: Fixture, tilt_deg: float, crests_mm: tuple[float, float]) -> dict[str, Any]:
    """Every measurand, mm or degrees, None where it does not exist; crests are (mesial, distal)."""
    length, middle = fixture.length_mm, fixture.length_mm / 2
    coronal, apical = _width(fixture, 0.25), _width(fixture, 0.75)
    depth = _depth_mm(fixture, middle)
    main, bore = fixture.threads[-1] if fixture.threads else None, fixture.bore
    return {
        "length_mm": length,
        "platform_width_mm": 2 * fixture.platform_radius_mm,
        "coronal_width_mm": coronal,
        "apical_width_mm": apical,
        "core_width_mm": _width(fixture, 0.5) - 2 * depth,
        "taper_deg": math.degrees(math.atan((coronal - apical) / length)),
        "thread_pitch_mm": main.pitch_mm if main else None,
        "thread_depth_mm": depth if main else None,
        "bore_width_mm": bore.width_mm,
        "bore_depth_mm": bore.depth_mm,
        "bore_mouth_mm": bore.mouth_width_mm(),
        "bore_cone_deg": bore.cone_deg,
        "collar_height_mm": fixture.threads[0].depth.top_mm if main else None,
        "tilt_deg": tilt_deg,
        "crest_mesial_mm": crests_mm[0],
        "crest_distal_mm": crests_mm[1],
    }


def _width(fixture: Fixture, share: float) -> float:
    return 2 * float(fixture.envelope(share * fixture.length_mm))


def _depth_mm(fixture: Fixture, z_mm: float) -> float:
    return max((float(thread.depth(z_mm)) for thread in fixture.threads), default=0.0)


def forms(fixture: Fixture, seated: Seated) -> dict[str, str | None]:
    """Give the state of every form."""
    main = fixture.threads[-1] if fixture.threads else None
    starts = None
    if main:
        starts = "rings" if main.starts == 0 else ("even" if main.starts % 2 == 0 else "odd")
    covered = seated.kind != "nothing"
    bare = "male prism" if fixture.forms["index"] == "male hexagon" else "nothing"
    return {
        "collar_form": _collar_form(fixture),
        "apex_form": fixture.forms["apex"],
        "top_form": "covered" if covered else bare,
        "thread_starts": starts,
    }


def _collar_form(fixture: Fixture) -> str:
    wider = fixture.platform_radius_mm - fixture.sizes["body_width_mm"] / 2
    if abs(wider) < MINIMUM_STEP_MM:
        return "flush"
    return "flared" if wider > 0 else "back-tapered"


def findings(
    fixture: Fixture, seated: Seated, tilt_deg: float, blur_mm: float
) -> dict[str, dict[str, bool]]:
    """List what is there, and whether this view could show it."""
    main = fixture.threads[-1] if fixture.threads else None
    micro = fixture.threads[0] if len(fixture.threads) > 1 else None
    vents_open = any(
        _is_open(fixture, vent.width_mm, vent.azimuth_deg, vent.z_mm) for vent in fixture.vents
    )
    shown = {
        "threads": (bool(main and main.starts), True),
        "rings": (bool(main and not main.starts), True),
        "vents": (bool(fixture.vents), vents_open),
        "bore": (
            True,
            seated.kind in ("nothing", "cover screw")
            or seated.end_mm < fixture.bore.depth_mm - 0.8,
        ),
        "micro_threads": (
            micro is not None,
            bool(micro and _fine_shows(micro.pitch_mm, tilt_deg, blur_mm)),
        ),
        "steps": (False, False),
        "perforations": (bool(fixture.perforations), True),
        "flutes": (fixture.has_flutes, True),
    }
    return {
        key: {"there": there, "detectable": bool(there and shows)}
        for key, (there, shows) in shown.items()
    }


def _is_open(fixture: Fixture, width_mm: float, azimuth_deg: float, z_mm: float) -> bool:
    """Whether a through-hole shows clear: within asin(d / diameter) of the beam."""
    body = 2 * float(fixture.envelope(z_mm))
    return abs(azimuth_deg) < math.degrees(math.asin(min(1.0, width_mm / body)))


def _fine_shows(pitch_mm: float, tilt_deg: float, blur_mm: float) -> bool:
    """Whether a fine comb survives: a blur of a quarter pitch and a tilt of some ten degrees."""
    return blur_mm < pitch_mm / 4 and abs(tilt_deg) < 10


def vents(fixture: Fixture) -> list[dict[str, Any]]:
    """Every through-hole near the apex."""
    return [
        {
            "shape": "round" if vent.height_mm < 1.15 * vent.width_mm else "oblong",
            "width_mm": vent.width_mm,
            "height_mm": vent.height_mm,
            "from_apex_mm": fixture.length_mm - vent.z_mm,
            "azimuth_deg": vent.azimuth_deg,
            "detectable": bool(_is_open(fixture, vent.width_mm, vent.azimuth_deg, vent.z_mm)),
        }
        for vent in fixture.vents
    ]


def points_px(fixture: Fixture, view: View) -> dict[str, Any]:
    """Exact film positions of the platform's two ends and of the apex."""
    rim = fixture.platform_radius_mm
    return {
        "platform": [list(view.to_film(-rim, 0.0)), list(view.to_film(rim, 0.0))],
        "apex": list(view.to_film(0.0, fixture.length_mm)),
    }
