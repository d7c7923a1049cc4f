"""Linear attenuation of the materials on a film, from the table beside this file."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from sample_images.arrays import Array

TABLE = Path(__file__).with_name("materials.toml")
VOID = "void"  # empty space inside a part: its path is counted, yet nothing is absorbed
EDGE_KEV = 0.001  # the table gives an absorption edge's two sides this far from it


@cache
def material_table() -> dict[str, Any]:
    """Energies, attenuation, densities and where they come from."""
    return tomllib.loads(TABLE.read_text(encoding="utf-8"))


def materials() -> tuple[str, ...]:
    """Names of all materials."""
    return tuple(name for name, entry in material_table().items() if isinstance(entry, dict))


def mu_per_mm(material: str, energy_kev: float) -> float:
    """Linear attenuation coefficient, 1/mm, interpolated in log-log between absorption edges.

    Raises
    ------
    ValueError
        Unknown material, or an energy outside the table.
    """
    if material == VOID:
        return 0.0
    if material not in materials():
        raise ValueError(f"'{material}' is not in {TABLE.name}; add it there with its source.")
    energies, values = _knots(material)
    if not energies[0] <= energy_kev <= energies[-1]:
        raise ValueError(
            f"energy_kev must be {energies[0]:g} to {energies[-1]:g} (got {energy_kev:g}), "
            f"the range of {TABLE.name}."
        )
    logs = np.interp(np.log(energy_kev), np.log(energies), np.log(values))
    return float(np.exp(logs))


@cache
def _knots(material: str) -> tuple[Array, Array]:
    """Energies (keV) and attenuation (1/mm), both sides of every edge among them."""
    table, entry = material_table(), material_table()[material]
    edges = entry.get("edges", [])
    knots = {
        energy: value
        for energy, value in zip(table["energies_kev"], entry["mu_per_mm"], strict=True)
        if all(abs(energy - edge) > EDGE_KEV for edge, _, _ in edges)
    }
    for edge, below, above in edges:
        knots |= {edge - EDGE_KEV: below, edge + EDGE_KEV: above}
    energies = np.array(sorted(knots), float)
    return energies, np.array([knots[energy] for energy in energies])
