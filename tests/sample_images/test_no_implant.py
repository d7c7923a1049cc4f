"""Films without an implant."""

import numpy as np
import pytest

from sample_images.materials import material_table
from sample_images.no_implant import KINDS, draw_no_implant
from sample_images.seated import KINDS as SEATED
from sample_images.seated import seat
from tests.sample_images.sections import inside


def subject(kind, seed=2):
    return draw_no_implant(kind, np.random.default_rng(seed))


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_has_solids_and_somewhere_to_put_marks(kind):
    for seed in range(10):
        one = subject(kind, seed)
        assert one.platform_radius_mm > 0.3
        assert one.length_mm > 1.0
        assert one.reach_mm >= one.platform_radius_mm
        assert one.top_mm <= 0
        names = {name for part in one.parts() for name in part.materials}
        assert names <= set(material_table()) | {"void"}


@pytest.mark.parametrize("kind", KINDS)
def test_no_two_solids_take_the_same_space(kind):
    one = subject(kind)
    rng = np.random.default_rng(1)
    x, y = rng.uniform(-4.5, 4.5, (2, 6000))
    z = rng.uniform(-9, 15, 6000)
    taken = np.zeros(6000)
    for part in one.parts():
        near = (z > part.top_mm) & (z < part.end_mm)
        for k in range(len(part.materials)):
            values = inside(lambda rays, part=part, k=k: part.fields(rays)[k], x, y, z)
            taken += near & (values > 0.03)
    assert taken.max() <= 1
    assert taken.sum() > 20


@pytest.mark.parametrize("kind", KINDS)
def test_nothing_is_seated_on_what_is_no_implant(kind):
    for part in SEATED:
        assert seat(subject(kind), part, np.random.default_rng(1)).parts() == ()


def test_an_unknown_kind_is_refused():
    with pytest.raises(ValueError, match="'kind' must be one of cast_post"):
        subject("crown")
