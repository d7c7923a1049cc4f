"""Attenuation against the open tables it was taken from."""

import math

import pytest
import xraydb

from sample_images.materials import material_table, mu_per_mm


@pytest.mark.published
@pytest.mark.parametrize("energy_kev", [40.0, 50.0, 60.0])
@pytest.mark.parametrize("thickness_mm", [1.0, 2.0, 4.0])
def test_titanium_lets_through_what_the_table_says(energy_kev, thickness_mm):
    density = xraydb.atomic_density("Ti")
    assert density == pytest.approx(4.506)
    published = math.exp(-xraydb.mu_elam("Ti", energy_kev * 1e3) * density * thickness_mm / 10)
    ours = math.exp(-mu_per_mm("titanium", energy_kev) * thickness_mm)
    assert ours == pytest.approx(published, rel=0.01)


@pytest.mark.published
@pytest.mark.parametrize("energy_kev", [43.0, 47.5])
def test_titanium_between_the_tabulated_energies(energy_kev):
    published = xraydb.mu_elam("Ti", energy_kev * 1e3) * 4.506 / 10
    assert mu_per_mm("titanium", energy_kev) == pytest.approx(published, rel=0.01)


def test_every_material_states_its_standing_and_falls_with_energy():
    table = material_table()
    for name, entry in table.items():
        if isinstance(entry, dict):
            assert entry["standing"] in ("source", "derived"), name
            values = entry["mu_per_mm"]
            assert len(values) == len(table["energies_kev"])
            assert values == sorted(values, reverse=True)


def test_an_unknown_material_or_energy_is_refused():
    with pytest.raises(ValueError, match=r"'unobtainium' is not in materials\.toml"):
        mu_per_mm("unobtainium", 45)
    with pytest.raises(ValueError, match="30 to 70"):
        mu_per_mm("titanium", 20)
