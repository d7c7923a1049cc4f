"""What is usual: how films are aimed at each level, and what sits on an implant on the day.

Shares and ranges are invented unless a line says otherwise; that some two thirds of everyday films
show something seated is from memory.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from sample_images.fixture import Fixture
from sample_images.no_implant import NoImplant

# in-plane turn and vertical tilt, degrees either way: hand-held films are off by 10 and more
TURN_DEG = {"clean": 1.5, "clinical": 12.0, "hard": 12.0}
TILT_DEG = {"clean": 0.0, "clinical": 10.0, "hard": 20.0}
# source to implant, mm: short and long cones reach some 200 and 400 mm (common practice)
SOURCE_MM = (200.0, 400.0)
# implant to receptor, mm: through the jaw's lingual half and the holder (from memory)
RECEPTOR_MM = (3.0, 15.0)
CLEAN_SOURCE_MM, CLEAN_RECEPTOR_MM = 400.0, 5.0
# of a receptor's place to the implant's, what a user who does not know it assumes (derived from
# the two ranges above: 1 + receptor / source runs from 1.008 to 1.075)
ASSUMED_MAGNIFICATION, ASSUMED_MAGNIFICATION_STD = 1.03, 0.013
LOWER_JAW_SHARE = 0.55

# what sits on a two-piece implant; "nothing" of a third, as two thirds are dressed
SEATED: Mapping[str, Mapping[str, float]] = {
    "clean": {"nothing": 0.75, "healing part": 0.25},
    "clinical": {
        "nothing": 0.33,
        "cover screw": 0.12,
        "healing part": 0.10,
        "bare abutment": 0.06,
        "metal crown": 0.08,
        "metal-ceramic crown": 0.20,
        "ceramic crown": 0.09,
        "fractured screw": 0.02,
    },
}
# on the post of a one-piece body only a crown can sit; on a ball nothing shows on a film
# (a part in a denture is taken out with it before the film)
SEATED_ON_POST: Mapping[str, float] = {
    "nothing": 0.33,
    "metal crown": 0.20,
    "metal-ceramic crown": 0.33,
    "ceramic crown": 0.14,
}
JOINT_WITH_CROWN = {"seen": 0.4, "guessed": 0.4, "hidden": 0.2}


def draw_option(shares: Mapping[str, float], rng: np.random.Generator) -> str:
    """One option of a table of shares, by a single draw."""
    return _option_at(rng.random(), shares)


def _option_at(share: float, shares: Mapping[str, float]) -> str:
    options, parts = list(shares), np.cumsum(list(shares.values()))
    return options[min(int(np.searchsorted(parts, share * parts[-1], "right")), len(options) - 1)]


def draw_seated(level: str, body: Fixture | NoImplant, rng: np.random.Generator) -> str:
    """Draw what sits on a body: one of `seated.KINDS`."""
    share = rng.random()  # drawn first, so that the stream goes on the same whatever the body
    return _option_at(share, _shares(level, body))


def _shares(level: str, body: Fixture | NoImplant) -> Mapping[str, float]:
    if isinstance(body, NoImplant):
        return {"nothing": 1.0}
    if body.has_bore and body.top_form != "post":
        return SEATED["clean" if level == "clean" else "clinical"]
    if level == "clean" or body.top_form not in ("post", "male prism"):
        return {"nothing": 1.0}
    return SEATED_ON_POST
