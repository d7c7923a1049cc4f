"""Where things stand on the film: the site in the mouth, its neighbours, the ball, the view."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from sample_images import everyday
from sample_images.anatomy import Mouth
from sample_images.crest_line import crest_points_mm, draw_crests, draw_knots, rim_edges_mm
from sample_images.fixture import Fixture
from sample_images.no_implant import NoImplant
from sample_images.tooth import Tooth
from sample_images.view import View

ROWS, COLUMNS = 1000, 750
# least: a fine sensor's; most: the long side of a size 2 receptor, 41 mm, over its rows (ISO 3665)
FINEST_MM_PER_PX, COARSEST_MM_PER_PX = 0.0235, 0.041
BALL_MM = 5.0
CROWN_TOP_MM = 8.5  # above the platform
ABOVE_MM = 11.6  # of film above the platform: crown and ball
HALF_CROWN_MM = 3.75
SHORTEST_MM = 8.0  # canal and sinus keep away as from an implant this long
WIDE_MM = 5.5  # a body reaching farther from its axis is taken on a film lying on its side
TEETH = {
    "lower": ("36", "46", "35", "45", "34", "44"),
    "upper": ("16", "26", "15", "25", "14", "24"),
}


@dataclass(frozen=True, slots=True)
class Ball:
    """A steel ball beside the implant, at its own depth."""

    x_mm: float
    y_mm: float
    depth_mm: float


@dataclass(frozen=True, slots=True)
class Site:
    """One film's layout, in the lower jaw's way up.

    Attributes
    ----------
    crests_mm : (left, right)
        Platform to bone along the axis.
    crest_points_mm : two (x, y)
        Where that bone meets the implant's outline, film mm from the platform's middle.
    """

    jaw: str
    tooth: str
    view: View
    mouth: Mouth
    ball: Ball | None
    crests_mm: tuple[float, float]
    crest_points_mm: tuple[tuple[float, float], tuple[float, float]]

    @property
    def mesial_is_left(self) -> bool:
        """On the film as displayed, seen from the tube: the patient's left teeth face right."""
        return self.tooth[0] in "23"

    def shown(self, point: tuple[float, float]) -> list[float]:
        """Film point as displayed: an upper jaw's film is turned half round."""
        if self.jaw != "upper":
            return [float(point[0]), float(point[1])]
        rows, columns = self.view.shape
        return [float(columns - 1 - point[0]), float(rows - 1 - point[1])]

    def mm_to_film(self, point: tuple[float, float]) -> tuple[float, float]:
        """Film pixel of a point in film mm from the platform's middle."""
        x, y = self.view.platform_px
        return x + point[0] / self.view.mm_per_px, y + point[1] / self.view.mm_per_px


def draw_site(
    fixture: Fixture | NoImplant,
    level: str,
    scale: str,
    rng: np.random.Generator,
    jaw: str | None = None,
    rows: int = ROWS,
) -> Site:
    """Lay a film out; `scale` "ball" leaves room for the ball, "line" shows a whole neighbour.

    `rows` other than the usual make the same film of fewer or more pixels.
    """
    lower = level == "clean" or rng.random() < everyday.LOWER_JAW_SHARE
    jaw = jaw or ("lower" if lower else "upper")
    tooth = str(rng.choice(TEETH[jaw]))
    view = resampled(_view(fixture, level, scale, rng), rows / ROWS)
    crests = draw_crests(fixture, rng)
    ball = _ball(fixture, view, level, rng) if scale == "ball" else None
    return stand(fixture, view, (jaw, tooth), crests, ball, rng)


def stand(
    fixture: Fixture | NoImplant,
    view: View,
    place: tuple[str, str],
    crests: tuple[float, float],
    ball: Ball | None,
    rng: np.random.Generator,
) -> Site:
    """Put bone, neighbours and gum round an implant seen like this; `place` is jaw and tooth."""
    left = -view.platform_px[0] * view.mm_per_px
    right = left + view.shape[1] * view.mm_per_px
    contacts = crest_points_mm(fixture, view, crests)
    lean = -0.7 * math.tan(math.radians(view.turn_deg))  # the whole jaw stands a little askew
    teeth = _neighbours(_swing(fixture, view), right, ball, (sum(crests) / 2, lean), rng)
    rims = rim_edges_mm(fixture, view, crests)
    knots = draw_knots(contacts, rims, teeth, (left, right), rng)
    mouth = _mouth(place[0], fixture, knots, teeth, rng)
    return Site(*place, view, mouth, ball, crests, contacts)


def _mouth(
    jaw: str,
    fixture: Fixture | NoImplant,
    knots: tuple[tuple[float, float], ...],
    teeth: tuple[Tooth, ...],
    rng: np.random.Generator,
) -> Mouth:
    landmark = "none"
    if rng.random() < 0.6:
        landmark = "canal" if jaw == "lower" else "sinus"
    clear = 1.5 if landmark == "canal" else 0.6
    return Mouth(
        crest_knots_mm=knots,
        teeth=teeth,
        gum_above_crest_mm=float(rng.uniform(2.0, 3.2)),
        cheek_mm=float(rng.uniform(5, 9)),
        grain_mm=float(rng.uniform(0.26, 0.36)) * (1.0 if jaw == "lower" else 0.85),
        landmark=landmark,
        landmark_y_mm=max(fixture.length_mm, SHORTEST_MM) + float(rng.uniform(clear, clear + 1.0)),
    )


def _distances_mm(level: str, rng: np.random.Generator) -> tuple[float, float]:
    """Source to implant, implant to receptor."""
    source, receptor = rng.uniform(*everyday.SOURCE_MM), rng.uniform(*everyday.RECEPTOR_MM)
    if level == "clean":
        return everyday.CLEAN_SOURCE_MM, everyday.CLEAN_RECEPTOR_MM
    return float(source), float(receptor)


def _view(fixture: Fixture | NoImplant, level: str, scale: str, rng: np.random.Generator) -> View:
    """Aim the film; its scale is as fine as the implant and what stands beside it leave room."""
    reach = fixture.reach_mm
    rows, columns = (COLUMNS, ROWS) if reach > WIDE_MM else (ROWS, COLUMNS)
    aside = max(6.3, reach + 2.2)
    beyond = _ball_x(reach, 0.0) + BALL_MM / 2 + 1.0 if scale == "ball" else max(9.0, reach + 2.2)
    if scale == "line":
        aside = max(11.8, reach + 9.5)
    tall = ABOVE_MM + fixture.length_mm + rng.uniform(2.0, 3.2)
    room = max(tall / rows, (aside + beyond) / columns)
    finest = FINEST_MM_PER_PX if scale == "ball" else 0.027
    mm_per_px = float(np.clip(room, finest, COARSEST_MM_PER_PX))
    spare = max(rows - tall / mm_per_px, 0.0)
    y = ABOVE_MM / mm_per_px + spare * rng.uniform(0.3, 0.7)
    x = aside / mm_per_px + rng.uniform(-6, 6)
    turn = min(everyday.TURN_DEG[level], _most_turn_deg(fixture, aside, rows * mm_per_px))
    turned = float(rng.uniform(-turn, turn))
    tilt = everyday.TILT_DEG[level]
    tilted = float(rng.uniform(-tilt, tilt))
    source, receptor = _distances_mm(level, rng)
    return View(
        mm_per_px=mm_per_px,
        platform_px=(float(x), float(y)),
        turn_deg=turned,
        tilt_deg=tilted,
        shape=(rows, columns),
        source_mm=source,
        receptor_mm=receptor,
    )


def resampled(view: View, share: float) -> View:
    """View with `share` times as many pixels across the same field."""
    x, y = (share * (at + 0.5) - 0.5 for at in view.platform_px)
    rows, columns = (round(share * side) for side in view.shape)
    return replace(
        view, mm_per_px=view.mm_per_px / share, platform_px=(x, y), shape=(rows, columns)
    )


def _most_turn_deg(fixture: Fixture | NoImplant, aside_mm: float, film_mm: float) -> float:
    """Turn that keeps what the film shows of the implant beside its edge, all of it if it can."""
    shown = min(fixture.length_mm, film_mm - ABOVE_MM)
    spare = aside_mm - float(fixture.envelope(0.8 * fixture.length_mm)) - 1.0
    wide = 5.0 if fixture.reach_mm > WIDE_MM else 90.0
    return min(wide, math.degrees(math.asin(min(1.0, max(spare, 0.3) / shown))))


def _ball_x(reach_mm: float, leaning_mm: float) -> float:
    return max(6.7 + leaning_mm, reach_mm + 3.2)


def _ball(fixture: Fixture | NoImplant, view: View, level: str, rng: np.random.Generator) -> Ball:
    """Beside the implant's crown, clear of it even where the implant leans that way."""
    depth = 0.0 if level == "clean" else float(np.clip(rng.normal(0, 2), -5, 5))
    leaning = CROWN_TOP_MM * math.sin(math.radians(max(view.turn_deg, 0.0)))
    x = _ball_x(fixture.reach_mm, leaning) + float(rng.uniform(0.0, 0.3))
    top = -view.platform_px[1] * view.mm_per_px
    return Ball(x, top + float(rng.uniform(3.3, 4.6)), depth)


def _swing(fixture: Fixture | NoImplant, view: View) -> float:
    """How far to either side the neighbours must stand off, mm: crown, or a wide body turned."""
    across = fixture.reach_mm * math.cos(math.radians(view.turn_deg))
    return max(HALF_CROWN_MM, across + 0.9)


def _neighbours(
    half_mm: float,
    right: float,
    ball: Ball | None,
    stand: tuple[float, float],
    rng: np.random.Generator,
) -> tuple[Tooth, ...]:
    """Teeth beside the implant; `stand` is the implant's crest and the jaw's lean."""
    crest, lean = stand
    neck = crest - 2.5  # the neighbours' bone stands a little above the implant's
    width = float(rng.uniform(6.6, 7.2))
    near = -half_mm - width / 2 - float(rng.uniform(0.1, 0.4))
    if ball:
        far = ball.x_mm + BALL_MM / 2 + width / 2 + 0.6 + float(rng.uniform(0.0, 0.4))
        far = max(far, right - 0.28 * width)
    else:
        far = half_mm + width / 2 + float(rng.uniform(0.1, 0.5))
    wide = float(rng.uniform(8.5, 9.8))
    left_tooth = Tooth(
        near,
        neck + float(rng.uniform(-0.3, 0.3)),
        width,
        float(rng.uniform(7.2, 7.8)),
        float(rng.uniform(12.5, 14.5)),
        float(rng.uniform(6.6, 7.4)),
        1,
        lean + float(rng.uniform(-0.06, 0.03)),
    )
    right_tooth = Tooth(
        far + (wide - width) / 2,
        neck + float(rng.uniform(-0.4, 0.3)),
        wide,
        float(rng.uniform(6.8, 7.4)),
        float(rng.uniform(12.0, 13.5)),
        float(rng.uniform(7.4, 8.4)),
        2,
        lean + float(rng.uniform(-0.03, 0.06)),
    )
    return left_tooth, right_tooth
