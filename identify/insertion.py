"""The path of insertion of a case: how far each implant leans from it, and what must be cut."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from features.quantity import Measured, NotMeasured, Quantity
from identify.arch_frame import SEED, is_upper
from identify.case_file import Case
from identify.divergence import Divergence, angles_deg
from identify.draw_path import Post, find_path, follow_path, pair_leans_deg

DRAWS = 4000  # leaves 2 % of chance in a std, and solves nothing twice
NEAR_DEG = 1e-6


@dataclass(frozen=True, slots=True)
class Insertion:
    """What one path of insertion asks of each abutment.

    Attributes
    ----------
    beyond_deg : Measured or NotMeasured
        By how much the worst abutment leans farther from the path than its walls taper; 0 or
        less means that the path exists as things stand.
    leans_deg, cuts_mm : mapping of str to Measured
        By label. A cut is what comes off the top of one wall.
    converging_deg : float
        The two walls of the most cut abutment to each other, along the path.
    """

    beyond_deg: Quantity
    leans_deg: Mapping[str, Measured]
    cuts_mm: Mapping[str, Measured]
    converging_deg: float = 0.0
    impossible: bool = False

    @property
    def exists(self) -> bool | None:
        """Whether the path exists without cutting; None where it cannot be said."""
        return self.beyond_deg.value <= NEAR_DEG if self.beyond_deg else None

    @property
    def is_sure(self) -> bool:
        """Whether the 95 % interval lies on one side."""
        if not self.beyond_deg:
            return False
        low, high = self.beyond_deg.interval
        return high <= 0 or low > 0

    def to_json(self) -> dict[str, Any]:
        """As in the file contracts."""
        return {
            "exists": self.exists,
            "beyond_deg": self.beyond_deg.to_json(),
            "abutments": [
                {
                    "label": label,
                    "lean_deg": lean.to_json(),
                    "cut_mm": self.cuts_mm[label].to_json(),
                }
                for label, lean in self.leans_deg.items()
            ],
        }


def unknown(reason: str) -> Insertion:
    """Say why no path can be judged."""
    return Insertion(NotMeasured(reason), {}, {})


def find_insertion(posts: tuple[Post, ...], case: Case, divergence: Divergence) -> Insertion:
    """Find the best path for abutments of one jaw, and what it asks of each."""
    angle = divergence.largest_deg
    if not angle:
        return unknown(angle.reason)
    if divergence.axes is None:
        return _by_angle(posts, case, angle)
    jaws = {is_upper(i) for i in case.implants if i.label in {post.label for post in posts}}
    if len(jaws) > 1:
        return unknown("the implants stand in two jaws; plan each jaw by itself")
    return _by_axes(posts, np.stack([divergence.axes[post.label][:DRAWS] for post in posts]))


def _by_angle(posts: tuple[Post, ...], case: Case, angle: Measured) -> Insertion:
    """Take two implants by the one angle that was measured between them."""
    if len(posts) != 2 or len(case.implants) != 2:
        return unknown("one angle does not give the path of three; enter the tilts of all of them")
    drawn = np.abs(np.random.default_rng(SEED).normal(angle.value, angle.std, DRAWS))
    drawn[0] = angle.value
    return _measured(posts, pair_leans_deg(drawn, *posts))


def _by_axes(posts: tuple[Post, ...], drawn: NDArray[np.float64]) -> Insertion:
    if len(posts) == 2:
        return _measured(posts, pair_leans_deg(angles_deg(drawn[0], drawn[1]), *posts))
    path = find_path(drawn[:, 0], posts)
    if path is None:
        return _no_path(posts)
    return _measured(posts, angles_deg(drawn, follow_path(drawn[:, 0], posts, path, drawn)))


def _no_path(posts: tuple[Post, ...]) -> Insertion:
    fixed = ", ".join(post.label for post in posts if not post.may_be_cut)
    return Insertion(
        NotMeasured(f"{fixed} cannot be cut and leave no common path"), {}, {}, impossible=True
    )


def _measured(
    posts: tuple[Post, ...], leans_deg: tuple[NDArray[np.float64], ...] | NDArray[np.float64]
) -> Insertion:
    """Take the first draw, which is the likeliest, as the value and the spread as its std."""
    leans = {post.label: lean for post, lean in zip(posts, leans_deg, strict=True)}
    beyond = np.max([leans[post.label] - post.taper_deg for post in posts], axis=0)
    cuts = {post.label: post.undercut_mm(leans[post.label]) for post in posts}
    fixed = [post for post in posts if not post.may_be_cut]
    stuck = any(leans[post.label][0] > post.taper_deg + NEAR_DEG for post in fixed)
    return Insertion(
        _quantity(beyond, "deg"),
        {label: _quantity(lean, "deg") for label, lean in leans.items()},
        {label: _quantity(cut, "mm") for label, cut in cuts.items()},
        max(float(leans[post.label][0]) + post.taper_deg for post in posts),
        impossible=stuck,
    )


def _quantity(drawn: NDArray[np.float64], unit: str) -> Measured:
    spread = float(np.sqrt(np.mean((drawn - drawn[0]) ** 2)))
    return Measured(float(drawn[0]), spread, unit)
