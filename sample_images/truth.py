"""The truth of a simulated film, by the definitions the measuring side uses.

Lengths are those of the object in mm, whatever the film's magnification. What does not exist is
None. `detectable` says whether this view could show the thing: by a quick rule here (a cross-hole
must open toward the beam, a bore must be empty, fine threads need pixels), or, where asked for, by
the contrast of a noise-free pair of films (`pairs.py`).
"""

from __future__ import annotations

from typing import Any

from sample_images.ball_shadow import ball_ends_px
from sample_images.exposure import ball_px
from sample_images.fixture import Fixture
from sample_images.scene import Scene
from sample_images.seated import Seated
from sample_images.view import View

MEASURES = (
    *("length_mm", "platform_width_mm", "coronal_width_mm", "apical_width_mm", "core_width_mm"),
    *("taper_deg", "thread_pitch_mm", "thread_depth_mm", "bore_width_mm", "bore_depth_mm"),
    *("bore_mouth_mm", "bore_cone_deg", "collar_height_mm", "tilt_deg"),
    *("crest_mesial_mm", "crest_distal_mm"),
)
FORMS = (
    *("collar_form", "apex_form", "top_form", "thread_starts", "connection_depth"),
    "opening_wall",
)
FINDINGS = (
    *("threads", "rings", "vents", "bore", "micro_threads", "steps", "perforations", "flutes"),
    *("inset", "solid", "dense"),
)
LEAST_LONG = 0.6  # of the platform's width: nobody marks an apex nearer
MINIMUM_STEP_MM = 0.05  # a rim this little wider or narrower than the body counts as flush
OPEN_TOP = ("nothing", "fractured screw")  # a screw broken off stays below the platform
CONNECTION_FROM, CONNECTION_DEEP = 0.15, 0.5  # of the platform's width
LONG_WALL = 0.18  # of the platform's width: an opening's wall that is straight farther down
BENT_MM = 0.05  # a wall that strays so far off one line is no longer straight
LEAST_INSET_MM = 0.12  # a shelf this little wide does not count as one
EMPTY_BORE_MM = 0.8  # a shorter empty stretch below a screw is not made out
BALL_ENDS_DEG = 20.0  # where on its rim a ball's two ends are named


def tell(scene: Scene) -> dict[str, Any]:
    """Everything known of a scene, but for how it was asked for."""
    view, site = scene.site.view, scene.site
    return {
        "radiofixture": "truth/1",
        "key": scene.key,
        "family": scene.family,
        "group": scene.group,
        **_object(scene),
        "detectable_by": "rule",
        "points_px": points_px(scene),
        "mm_per_px": view.mm_per_px,
        "material": scene.fixture.material,
        "seated": scene.seated.kind,
        "tone": scene.camera.to_json(),
        "view": {"turn_deg": view.turn_deg, "jaw": site.jaw, "tooth": site.tooth},
        "film": {"width": view.shape[1], "height": view.shape[0]},
        "geometry": _geometry(view),
        "ball_depth_mm": site.ball.depth_mm if site.ball else None,
    }


def _object(scene: Scene) -> dict[str, Any]:
    """Measures, forms, findings and vents; of what is no implant there are none."""
    fixture, view = scene.fixture, scene.site.view
    if not isinstance(fixture, Fixture):
        nothing = {"there": False, "detectable": False}
        return {
            "measures": dict.fromkeys(MEASURES),
            "forms": dict.fromkeys(FORMS),
            "findings": {key: dict(nothing) for key in FINDINGS},
            "vents": [],
        }
    blur_mm = scene.camera.blur_px * view.mm_per_px
    tilt_deg = view.tilt_at(fixture.length_mm / 2)
    return {
        "measures": measures(fixture, tilt_deg, _crests(scene)),
        "forms": forms(fixture, scene.seated),
        "findings": findings(fixture, scene.seated, tilt_deg, blur_mm),
        "vents": vents(fixture),
    }


def _geometry(view: View) -> dict[str, float]:
    """Central ray, source and receptor as seen from the platform's middle: `mm_per_px` holds there.

    Farther down the axis the rays come from more on the platform's side than the central one.
    """
    return {
        "tilt_deg": view.tilt_deg,
        "source_mm": view.source_mm,
        "receptor_mm": view.receptor_mm,
        "magnification": view.magnification,
        "receptor_mm_per_px": view.receptor_mm_per_px,
    }


def _crests(scene: Scene) -> tuple[float, float]:
    """Mesial, distal."""
    site = scene.site
    shown_left, shown_right = site.crests_mm if site.jaw == "lower" else site.crests_mm[::-1]
    return (shown_left, shown_right) if site.mesial_is_left else (shown_right, shown_left)


def measures(fixture: Fixture, tilt_deg: float, crests_mm: tuple[float, float]) -> dict[str, Any]:
    """Every measurand, mm or degrees, None where it does not exist; crests are (mesial, distal)."""
    length = fixture.length_mm
    coronal, apical = _width(fixture, 0.25), _width(fixture, 0.75)
    depth = fixture.measured_depth_mm()
    main = fixture.threads[-1] if fixture.threads else None
    bore = fixture.bore if fixture.has_bore else None
    return {
        "length_mm": length,
        "platform_width_mm": 2 * fixture.platform_radius_mm,
        "coronal_width_mm": coronal,
        "apical_width_mm": apical,
        "core_width_mm": _width(fixture, 0.5) - 2 * (depth or 0.0),
        "taper_deg": fixture.measured_taper_deg(),
        "thread_pitch_mm": main.pitch_mm if main else None,
        "thread_depth_mm": depth,
        "bore_width_mm": bore.width_mm if bore else None,
        "bore_depth_mm": bore.depth_mm if bore else None,
        "bore_mouth_mm": bore.mouth_width_mm() if bore else None,
        "bore_cone_deg": bore.cone_deg if bore else None,
        "collar_height_mm": fixture.measured_collar_mm(),
        "tilt_deg": tilt_deg,
        "crest_mesial_mm": crests_mm[0],
        "crest_distal_mm": crests_mm[1],
    }


def _width(fixture: Fixture, share: float) -> float:
    return 2 * float(fixture.envelope(share * fixture.length_mm))


def forms(fixture: Fixture, seated: Seated) -> dict[str, str | None]:
    """Give the state of every form."""
    main = fixture.threads[-1] if fixture.threads else None
    starts = None
    if main:
        starts = "rings" if main.starts == 0 else ("even" if main.starts % 2 == 0 else "odd")
    return {
        "collar_form": _collar_form(fixture),
        "apex_form": fixture.forms["apex"],
        "top_form": fixture.top_form if seated.kind in OPEN_TOP else "covered",
        "thread_starts": starts,
        "connection_depth": _connection_depth(fixture, seated),
        "opening_wall": _opening_wall(fixture, seated),
    }


def _connection_depth(fixture: Fixture, seated: Seated) -> str | None:
    """How deep the connection reaches inside, where what is seated shows it or all is empty."""
    if seated.inner is None and (seated.kind != "nothing" or not fixture.has_bore):
        return None
    if fixture.bore.thread is None:
        return "no screw"
    deep = fixture.bore.floor_mm / (2 * fixture.platform_radius_mm)
    if deep < CONNECTION_FROM:
        return "none"
    return "shallow" if deep < CONNECTION_DEEP else "deep"


def _opening_wall(fixture: Fixture, seated: Seated) -> str | None:
    """Whether the wall of an empty opening runs straight far down, as a cone's or a tube's does."""
    if seated.kind != "nothing" or not fixture.has_bore:
        return None
    straight = fixture.bore.straight_mm(BENT_MM) / (2 * fixture.platform_radius_mm)
    return "long" if straight > LONG_WALL else "short"


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
    micro = fixture.micro_thread
    shown = {
        "threads": (bool(main and main.starts), True),
        "rings": (bool(main and not main.starts), True),
        "vents": (bool(fixture.vents), any(fixture.is_open(vent) for vent in fixture.vents)),
        "bore": (fixture.has_bore, _bore_is_empty(fixture, seated)),
        "micro_threads": (
            micro is not None,
            bool(micro and _fine_shows(micro.pitch_mm, tilt_deg, blur_mm)),
        ),
        "steps": (bool(fixture.steps), True),
        "perforations": (bool(fixture.perforations), True),
        "flutes": (fixture.has_flutes, True),
        "inset": (seated.inset_mm >= LEAST_INSET_MM, True),
        "solid": (not fixture.has_bore, seated.kind not in OPEN_TOP),
        "dense": (fixture.material == "zirconia", True),
    }
    return {
        key: {"there": there, "detectable": bool(there and shows)}
        for key, (there, shows) in shown.items()
    }


def _bore_is_empty(fixture: Fixture, seated: Seated) -> bool:
    if not fixture.has_bore or seated.kind in (*OPEN_TOP, "cover screw"):
        return True
    return bool(seated.end_mm < fixture.bore.depth_mm - EMPTY_BORE_MM)


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
            "from_apex_mm": float(fixture.length_mm - vent.z_mm),
            "azimuth_deg": vent.azimuth_deg,
            "open": fixture.is_open(vent),
            "detectable": fixture.is_open(vent),
        }
        for vent in fixture.vents
    ]


def points_px(scene: Scene) -> dict[str, Any]:
    """Exact film positions of the platform's two ends, the apex, the bone's crests and the scale.

    They are where the point source casts them. An apex may lie outside a film it is too long for.
    """
    site, view, rim = scene.site, scene.site.view, scene.fixture.platform_radius_mm
    left, right = (site.shown(site.mm_to_film(point)) for point in site.crest_points_mm)
    if (site.jaw == "lower") != site.mesial_is_left:
        left, right = right, left
    out: dict[str, Any] = {
        "platform": [site.shown(view.to_film(side * rim, 0.0)) for side in (-1, 1)],
        "apex": site.shown(view.to_film(0.0, _apex_mm(scene))),
        "crests": {"mesial": left, "distal": right},
        "ball": None,
        "ball_centre": None,
        "line": None,
    }
    if site.ball:
        ends = ball_ends_px(site.ball, view, BALL_ENDS_DEG)
        out["ball"] = [site.shown(end) for end in ends]
        out["ball_centre"] = site.shown(ball_px(site)[0])
    if scene.scale == "line":
        ends = site.mouth.teeth[0].ends_mm()
        out["line"] = [site.shown(site.mm_to_film(end)) for end in ends]
    return out


def _apex_mm(scene: Scene) -> float:
    """Where the apex is marked; of a shallow thing that is no implant, somewhere below it."""
    length = scene.fixture.length_mm
    if isinstance(scene.fixture, Fixture):
        return length
    return max(length, 2 * LEAST_LONG * scene.fixture.platform_radius_mm)
