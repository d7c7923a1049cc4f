"""Several films of one arch combined: every film may stand turned, all its implants alike."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from pydantic import BaseModel

from features.input_file import check
from identify.case_file import Case, CaseImplant, Film, FilmTilt
from identify.rules import Rules

LEFT = "2367"  # quadrants on the patient's left (ISO 3950; 6 and 7 in the primary set)
LEAST_STD_DEG = 0.1  # of an axis on a film; common practice
WIDE_DEG = 60.0  # a tilt of which nothing is known; weighs nothing beside a film


@dataclass(frozen=True, slots=True)
class MesialTilts:
    """Mesio-distal tilts of all implants, in degrees, and how their errors hang together."""

    labels: tuple[str, ...]
    mean_deg: NDArray[np.float64]
    covariance_deg2: NDArray[np.float64]

    def draw(self, rng: np.random.Generator, draws: int) -> Mapping[str, NDArray[np.float64]]:
        """Draw tilts, `draws` for each label."""
        root = np.linalg.cholesky(self.covariance_deg2 + 1e-12 * np.eye(len(self.labels)))
        drawn = self.mean_deg + rng.standard_normal((draws, len(self.labels))) @ root.T
        return dict(zip(self.labels, drawn.T, strict=True))


def is_left(implant: CaseImplant) -> bool:
    """Whether it stands on the patient's left."""
    return implant.tooth is not None and implant.tooth[0] in LEFT


def known_on_films(case: Case) -> set[str]:
    """Labels and teeth whose mesio-distal tilt some film shows."""
    return {name for film in case.films for name in film.tilts}


def combine_tilts(case: Case, implants: tuple[CaseImplant, ...], rules: Rules) -> MesialTilts:
    """Find the mesio-distal tilts that entered values and films together make likeliest.

    A film shows a tilt against its own upright. How far that is turned is unknown but the same
    for all implants on it, with opposite signs on the two sides of the midline. Generalised least
    squares over tilts and turns; the turns are then integrated out.
    """
    rows, values, stds = _equations(case, implants, rules)
    weighted = rows / stds[:, None]
    covariance = np.asarray(np.linalg.inv(weighted.T @ weighted), np.float64)
    mean = covariance @ (weighted.T @ (values / stds))
    count = len(implants)
    labels = tuple(implant.label for implant in implants)
    return MesialTilts(labels, mean[:count], covariance[:count, :count])


def _equations(
    case: Case, implants: tuple[CaseImplant, ...], rules: Rules
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    width = len(implants) + len(case.films)
    rows: list[tuple[NDArray[np.float64], float, float]] = []
    for place, implant in enumerate(implants):
        row = np.zeros(width)
        row[place] = 1.0
        entered = implant.tilt_mesiodistal_deg
        std_deg = implant.tilt_std_deg or rules.tilt_std_deg
        rows.append((row, entered or 0.0, WIDE_DEG if entered is None else std_deg))
    for number, film in enumerate(case.films):
        rows += _film_equations(film, len(implants) + number, width, implants, rules)
    values, stds = (np.array(column) for column in list(zip(*rows, strict=True))[1:])
    return np.array([row for row, _, _ in rows]), values, stds


def _film_equations(
    film: Film, at: int, width: int, implants: tuple[CaseImplant, ...], rules: Rules
) -> list[tuple[NDArray[np.float64], float, float]]:
    turn = np.zeros(width)
    turn[at] = 1.0
    rows = [(turn, 0.0, film.turn_std_deg or rules.film_turn_std_deg)]
    for place, implant in enumerate(implants):
        seen = _seen(film, implant)
        if seen is not None:
            row = turn * (1.0 if is_left(implant) else -1.0)
            row[place] = 1.0
            rows.append((row, seen.mesiodistal_deg, seen.std_deg))
    return rows


def _seen(film: Film, implant: CaseImplant) -> FilmTilt | None:
    return film.tilts.get(implant.label) or film.tilts.get(implant.tooth or "")


class _Axis(BaseModel):
    value: float | None = None
    std: float = 0.3


class _ReadImplant(BaseModel):
    tooth: str | None = None
    axis_deg: _Axis = _Axis()


class _Reading(BaseModel):
    implants: tuple[_ReadImplant, ...] = ()


def tilts_of_reading(
    reading: Any, implants: tuple[CaseImplant, ...], name: str
) -> dict[str, Any] | None:
    """Take mesio-distal tilts out of a reading (`reading/1`), by tooth; None where it has none.

    The film is taken to be seen from in front of the patient and not mirrored, its upright near
    the patient's: the rest is the turn that all its implants share.
    """
    teeth = {implant.tooth for implant in implants if implant.tooth}
    tilts = {
        one.tooth: tilt_shown(one.axis_deg.value, one.axis_deg.std, one.tooth)
        for one in check(_Reading, reading, name).implants
        if one.tooth in teeth and one.tooth and one.axis_deg.value is not None
    }
    return {"name": name, "tilts": tilts} if tilts else None


def tilt_shown(axis_deg: float, std_deg: float, tooth: str) -> dict[str, float]:
    """Return the tilt one axis on a film shows, as a case file holds it."""
    return {
        "mesiodistal_deg": mesial_lean_deg(axis_deg, tooth),
        "std_deg": max(std_deg, LEAST_STD_DEG),
    }


def mesial_lean_deg(axis_deg: float, tooth: str) -> float:
    """Lean of the crown end to mesial; `axis_deg` runs from platform to apex on the film.

    The crown end points the other way. On the patient's left, at the viewer's right, mesial is
    toward the film's left.
    """
    axis = math.radians(axis_deg)
    lean = math.degrees(math.atan2(-math.cos(axis), abs(math.sin(axis))))
    return -lean if tooth[0] in LEFT else lean
