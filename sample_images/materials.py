"""Linear attenuation of the materials on a film, from the table beside this file."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

TABLE = Path(__file__).with_name("materials.toml")


@cache
def material_table() -> dict[str, Any]:
    """Energies, attenuation, densities and where they come from."""
    return tomllib.loads(TABLE.read_text(encoding="utf-8"))


def mu_per_mm(material: str, energy_kev: float) -> float:
    """Linear attenuation coefficient, 1/mm, interpolated in log-log.

    Raises
    ------
    ValueError
        Unknown material, or an energy outside the table.
    """
    table = material_table()
    energies = np.array(table["energies_kev"], float)
    if "mu_per_mm" not in table.get(material, ()):
        raise ValueError(f"'{material}' is not in {TABLE.name}; add it there with its source.")
    if not energies[0] <= energy_kev <= energies[-1]:
        raise ValueError(
            f"energy_kev must be {energies[0]:g} to {energies[-1]:g} (got {energy_kev:g}), "
            f"the range of {TABLE.name}."
        )
    logs = np.log(table[material]["mu_per_mm"])
    return float(np.exp(np.interp(np.log(energy_kev), np.log(energies), logs)))
