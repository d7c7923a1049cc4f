"""Where things stand on the film: the site in the mouth, its neighbours, the ball, the view."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sample_images.anatomy import Mouth
from sample_images.fixture import Fixture
from sample_images.rays import View
from sample_images.tooth import Tooth

ROWS, COLUMNS = 1000, 750
BALL_MM = 5.0
CROWN_TOP_MM = 8.5  # above the platform
MAGNIFICATION_PER_MM = 0.003  # of depth: a source some 330 mm away
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

    def mm_per_px(self, view: View) -> float:
        """Object mm per pixel at the ball: nearer the tube, the larger its shadow."""
        return view.mm_per_px / (1 + MAGNIFICATION_PER_MM * self.depth_mm)


@dataclass(frozen=True, slots=True)
class Site:
    """One film's layout, in the lower jaw's way up.

    `crests_mm` are platform to bone along the axis, on the left and on the right of the film.
    """

    jaw: str
    tooth: str
    view: View
    mouth: Mouth
    ball: Ball | None
    crests_mm: tuple[float, float]

    @property
    def mesial_is_left(self) -> bool:
        """On the film as displayed, seen from the tube: the patient's left teeth face right."""
        return self.tooth[0] in "23"


def draw_site(
    fixture: Fixture, level: str, scale: str, rng: np.random.Generator, jaw: str | None = None
) -> Site:
    """Lay a film out; `scale` "ball" leaves room for the ball, "line" shows a whole neighbour."""
    chosen = "lower" if level == "clean" or rng.random() < 0.55 else "upper"
    jaw = jaw or chosen
    tooth = str(rng.choice(TEETH[jaw]))
    view = _view(fixture, level, scale, rng)
    scale_mm = view.mm_per_px
    left = -view.platform_px[0] * scale_mm
    right = left + COLUMNS * scale_mm
    top = -view.platform_px[1] * scale_mm
    rim = max(fixture.platform_radius_mm, fixture.sizes["body_width_mm"] / 2)
    crests = _crests(fixture, rng)
    ball = _ball(view, level, top, rng) if scale == "ball" else None
    lean = -0.7 * math.tan(math.radians(view.turn_deg))  # the whole jaw stands a little askew
    teeth = _neighbours(right, ball, sum(crests) / 2, lean, rng)
    knots = _crest_knots(view, crests, rim, teeth, (left, right), rng)
    landmark = "none"
    if rng.random() < 0.6:
        landmark = "canal" if jaw == "lower" else "sinus"
    clear = 1.5 if landmark == "canal" else 0.6
    mouth = Mouth(
        crest_knots_mm=knots,
        teeth=teeth,
        gum_above_crest_mm=float(rng.uniform(2.0, 3.2)),
        cheek_mm=float(rng.uniform(5, 9)),
        grain_mm=float(rng.uniform(0.26, 0.36)) * (1.0 if jaw == "lower" else 0.85),
        landmark=landmark,
        landmark_y_mm=fixture.length_mm + float(rng.uniform(clear, clear + 1.0)),
    )
    return Site(jaw, tooth, view, mouth, ball, crests)


def _view(fixture: Fixture, level: str, scale: str, rng: np.random.Generator) -> View:
    turn, tilt = {"clean": (1.5, 0.0), "clinical": (12.0, 8.0), "hard": (12.0, 15.0)}[level]
    room = 11.6 + fixture.length_mm + rng.uniform(2.0, 3.2)
    mm_per_px = float(np.clip(room / ROWS, 0.0235 if scale == "ball" else 0.027, 0.030))
    spare = ROWS - room / mm_per_px
    y = 11.6 / mm_per_px + spare * rng.uniform(0.3, 0.7)
    x = (6.3 if scale == "ball" else 11.8) / mm_per_px + rng.uniform(-6, 6)
    turned = float(rng.uniform(-turn, turn))
    return View(
        mm_per_px=mm_per_px,
        platform_px=(float(x), float(y)),
        turn_deg=turned,
        tilt_deg=float(rng.uniform(-tilt, tilt)),
        shape=(ROWS, COLUMNS),
    )


def _ball(view: View, level: str, top_mm: float, rng: np.random.Generator) -> Ball:
    """Beside the implant's crown, clear of it even where the implant leans that way."""
    depth = 0.0 if level == "clean" else float(np.clip(rng.normal(0, 2), -5, 5))
    leaning = CROWN_TOP_MM * math.sin(math.radians(max(view.turn_deg, 0.0)))
    x = 6.7 + leaning + float(rng.uniform(0.0, 0.3))
    return Ball(x, top_mm + float(rng.uniform(3.3, 4.6)), depth)


def _crests(fixture: Fixture, rng: np.random.Generator) -> tuple[float, float]:
    """Bone stands near the first thread, or a little below the platform of a bone-level body."""
    collar = fixture.sizes.get("collar_height_mm", 0.6)
    base = max(0.3, collar - 0.2) + rng.uniform(0.0, 0.9)
    left, right = base + rng.uniform(-0.25, 0.25, 2)
    return float(left), float(right)


def _neighbours(
    right: float, ball: Ball | None, crest: float, lean: float, rng: np.random.Generator
) -> tuple[Tooth, ...]:
    neck = crest - 2.5  # the neighbours' bone stands a little above the implant's
    width = float(rng.uniform(6.6, 7.2))
    near = -3.75 - width / 2 - float(rng.uniform(0.1, 0.4))
    if ball:
        far = ball.x_mm + BALL_MM / 2 + width / 2 + 0.6 + float(rng.uniform(0.0, 0.4))
        far = max(far, right - 0.28 * width)
    else:
        far = 3.75 + width / 2 + float(rng.uniform(0.1, 0.5))
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


def _crest_knots(
    view: View,
    crests: tuple[float, float],
    rim: float,
    teeth: tuple[Tooth, ...],
    ends: tuple[float, float],
    rng: np.random.Generator,
) -> tuple[tuple[float, float], ...]:
    """Crest line: level beside the teeth, sloping to the implant, dead flat along its outline.

    The line passes exactly through the two points of the implant's outline that the truth names.
    """
    (x1, y1), (x2, y2) = (
        _film_mm(view, side * rim, crest) for side, crest in zip((-1, 1), crests, strict=True)
    )
    left, right = teeth
    near = left.neck_y_mm + float(rng.uniform(1.4, 2.0))
    far = right.neck_y_mm + float(rng.uniform(1.4, 2.0))
    left_x = left.x_mm + 0.36 * left.width_mm
    right_x = right.x_mm - 0.36 * right.width_mm
    knots = [
        (min(ends[0], left_x - 4) - 1.0, near + 0.2),
        (left_x, near),
        (min(left_x + 0.9, x1 - 0.7), near + 0.25),
        (x1 - 0.35, y1 - 0.12),
        (x1, y1),
        (x2, y2),
        (x2 + 0.35, y2 - 0.12),
        (x2 + 1.6, y2 * 0.45 + 0.55 * min(y2, far + 1.2) - 0.1),
        (right_x - 0.5, far + 0.2),
        (right_x, far),
        (max(ends[1], right_x + 4) + 1.0, far + 0.2),
    ]
    return tuple(knots)


def _film_mm(view: View, t_mm: float, z_mm: float) -> tuple[float, float]:
    x, y = view.to_film(t_mm, z_mm)
    return (x - view.platform_px[0]) * view.mm_per_px, (y - view.platform_px[1]) * view.mm_per_px
