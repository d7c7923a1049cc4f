"""Points and probabilities against a likelihood-ratio example worked by hand in a textbook."""

import tomllib
from pathlib import Path

import numpy as np
import pytest

from identify.weigh import weigh
from tests.identify.small_notes import evidence, family, notes, said, states

PRINTED = tomllib.loads(
    Path(__file__)
    .parents[1]
    .joinpath("published", "likelihood_ratio.toml")
    .read_text(encoding="utf-8")
)
# One reading in 200 counts as astray, which takes 0.02 points off a factor of 1.5.
ASTRAY_POINTS = 0.03


def bowl(key, which):
    first, second = PRINTED["first"][which], PRINTED["second"][which]
    return family(
        key,
        "cone",
        {
            "vents": states(present=first, absent=1 - first),
            "flutes": states(present=second, absent=1 - second),
        },
    )


def odds_after(items):
    known = notes(bowl("one", "one"), bowl("other", "other"))
    ranking = weigh(evidence({key: said("present") for key in items}), known)
    one, other = ranking.find("one"), ranking.find("other")
    return one.probability / other.probability, one.points - other.points


@pytest.mark.published
@pytest.mark.parametrize(
    ("items", "printed"), [(["vents"], "first"), (["vents", "flutes"], "second")]
)
def test_odds_after_each_observation_are_those_in_print(items, printed):
    odds, points = odds_after(items)
    wanted = PRINTED["prior_odds"] * PRINTED[printed]["odds"]
    assert 10 * np.log10(odds) == pytest.approx(
        10 * np.log10(wanted), abs=ASTRAY_POINTS * len(items)
    )
    assert points == pytest.approx(10 * np.log10(odds))
    assert odds / (1 + odds) == pytest.approx(PRINTED[printed]["probability"], abs=0.004)
