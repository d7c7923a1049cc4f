"""Attenuation against the open tables it was taken from."""

import math

import pytest
import xraydb

from sample_images.materials import material_table, materials, mu_per_mm

STANDINGS = ("source", "derived", "from memory")


def published_mu_per_mm(material, energy_kev):
    """Density times the sum of the elements' mass attenuation, from the open package itself."""
    entry = material_table()[material]
    shares = entry["mass_fractions"].items()
    per_g = sum(share * float(xraydb.mu_elam(el, energy_kev * 1e3)) for el, share in shares)
    return per_g * entry["density_g_per_cm3"] / 10


@pytest.mark.published
@pytest.mark.parametrize("energy_kev", [40.0, 50.0, 60.0])
@pytest.mark.parametrize("thickness_mm", [1.0, 2.0, 4.0])
def test_titanium_of_4_506_g_lets_through_what_the_table_says(energy_kev, thickness_mm):
    density = xraydb.atomic_density("Ti")
    assert density == pytest.approx(4.506)
    published = math.exp(-xraydb.mu_elam("Ti", energy_kev * 1e3) * density * thickness_mm / 10)
    ours = math.exp(-mu_per_mm("titanium", energy_kev) * thickness_mm)
    assert ours == pytest.approx(published, rel=0.01)


@pytest.mark.published
@pytest.mark.parametrize("energy_kev", [15.0, 23.0, 31.0, 43.0, 47.5, 59.0, 69.5])
@pytest.mark.parametrize("material", materials())
def test_every_material_agrees_with_the_published_table(material, energy_kev):
    published = published_mu_per_mm(material, energy_kev)
    assert mu_per_mm(material, energy_kev) == pytest.approx(published, rel=0.01)


@pytest.mark.published
@pytest.mark.parametrize(
    ("material", "edge_kev"),
    [("tantalum", 67.413), ("caesium_iodide", 33.170), ("zirconia", 17.998), ("amalgam", 29.199)],
)
def test_an_absorption_edge_is_not_smeared_between_energies(material, edge_kev):
    for off in (-0.05, 0.05):
        published = published_mu_per_mm(material, edge_kev + off)
        assert mu_per_mm(material, edge_kev + off) == pytest.approx(published, rel=0.01)
    assert mu_per_mm(material, edge_kev + 0.05) > 1.15 * mu_per_mm(material, edge_kev - 0.05)


@pytest.mark.parametrize("material", materials())
def test_every_material_is_whole_and_states_its_standing(material):
    table, entry = material_table(), material_table()[material]
    assert table["standing"] == "derived"
    assert entry["material_standing"] in STANDINGS
    assert sum(entry["mass_fractions"].values()) == pytest.approx(1.0, abs=0.003)
    assert len(entry["mu_per_mm"]) == len(table["energies_kev"])


def test_a_porous_metal_is_the_solid_one_thinned():
    share = mu_per_mm("porous_tantalum", 45.0) / mu_per_mm("tantalum", 45.0)
    assert share == pytest.approx(3.7 / 16.65, rel=1e-3)


def test_a_void_absorbs_nothing():
    assert mu_per_mm("void", 45.0) == 0


def test_an_unknown_material_or_energy_is_refused():
    with pytest.raises(ValueError, match=r"'unobtainium' is not in materials\.toml"):
        mu_per_mm("unobtainium", 45)
    with pytest.raises(ValueError, match="10 to 70"):
        mu_per_mm("titanium", 9)
