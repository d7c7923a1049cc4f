"""The beam: photon energies and how much each of them weighs in what the receptor records.

The receptor sums the energy it absorbs in a layer of caesium iodide (total attenuation; light
and fluorescence that escape are left out).
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from itertools import product
from pathlib import Path
from typing import Any

import numpy as np
from scipy import optimize

from sample_images.arrays import Array
from sample_images.materials import mu_per_mm

TABLE = Path(__file__).with_name("spectrum.toml")
SCINTILLATOR_MM = 0.1  # from memory: intra-oral sensors carry some 0.05 to 0.15 mm
TITANIUM_MM = (0.0, 0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0)  # what a beam of few energies
BONE_MM = (0.0, 5.0, 10.0)  # has to let through as the whole spectrum does
TISSUE_MM = (0.0, 10.0, 20.0)
FEW_KEV = (16.5, 23.5, 30.5, 37.5, 44.5, 51.5, 58.5, 65.5)
OPEN_BEAM = 1000.0  # how much more the open beam counts than an obstacle


@dataclass(frozen=True, slots=True)
class Beam:
    """A few energies standing for the whole spectrum.

    `weights` sum to 1: the share of the recorded signal each energy has with nothing in the way.
    """

    energies_kev: tuple[float, ...]
    weights: tuple[float, ...]

    def mu_per_mm(self, material: str) -> Array:
        """Linear attenuation at every energy of the beam, 1/mm."""
        return np.array([mu_per_mm(material, energy) for energy in self.energies_kev])

    def signal(self, transmissions: Array) -> Array:
        """What the receptor records: (energies, ...) transmissions to one signal in 0-1."""
        return np.tensordot(np.array(self.weights, transmissions.dtype), transmissions, axes=1)

    def variance(self, transmissions: Array) -> Array:
        """Variance of the signal's quantum noise, 1 in the open beam.

        A photon counts by its energy, so the signal's variance goes with the energy squared:
        behind metal, where the hard ones are left, the same signal is noisier.
        """
        shares = np.array(self.weights) * np.array(self.energies_kev)
        return np.tensordot((shares / shares.sum()).astype(transmissions.dtype), transmissions, 1)


def monochromatic(energy_kev: float) -> Beam:
    """One single energy."""
    return Beam((energy_kev,), (1.0,))


@cache
def spectrum_table() -> dict[str, Any]:
    """Photons at the target for every tube voltage, and where they come from."""
    return tomllib.loads(TABLE.read_text(encoding="utf-8"))


def tube_voltages() -> tuple[int, ...]:
    """Peak voltages the table holds, kV."""
    return tuple(int(key[4:]) for key in spectrum_table() if key.startswith("kvp_"))


def photons(kvp: int, filtration_mm: float) -> tuple[Array, Array]:
    """Energies (keV) and relative numbers of photons behind `filtration_mm` of aluminium.

    Raises
    ------
    ValueError
        A voltage the table does not hold.
    """
    table = spectrum_table()
    if f"kvp_{kvp}" not in table:
        known = ", ".join(map(str, tube_voltages()))
        raise ValueError(f"'kvp' must be one of {known} (got {kvp}); add it to {TABLE.name}.")
    energies = np.array(table["energies_kev"])
    filtered = np.exp(-filtration_mm * _mu("aluminium", energies))
    return energies, np.array(table[f"kvp_{kvp}"]) * filtered


def spectrum(kvp: int, filtration_mm: float) -> Beam:
    """Every 1 keV of the spectrum with its share of the recorded signal."""
    energies, number = photons(kvp, filtration_mm)
    absorbed = 1 - np.exp(-SCINTILLATOR_MM * _mu("caesium_iodide", energies))
    recorded = number * energies * absorbed
    return Beam(tuple(energies.tolist()), tuple((recorded / recorded.sum()).tolist()))


@cache
def few_energies(kvp: int, filtration_mm: float) -> Beam:
    """Few energies that let titanium, bone and soft tissue appear as the whole spectrum does."""
    whole = spectrum(kvp, filtration_mm)
    energies = np.array([energy for energy in FEW_KEV if energy < kvp])
    target = np.exp(-_obstacles(np.array(whole.energies_kev))) @ np.array(whole.weights)
    # relative errors count; the open beam, first of the rows, is met exactly
    rows = np.exp(-_obstacles(energies)) / target[:, None]
    rows[0] *= OPEN_BEAM
    goal = np.ones(len(target))
    goal[0] = OPEN_BEAM
    weights, _ = optimize.nnls(rows, goal)
    kept = weights > 0
    return Beam(tuple(energies[kept].tolist()), tuple((weights[kept] / weights.sum()).tolist()))


def _obstacles(energies: Array) -> Array:
    """Exponents of all combinations of metal, bone and tissue: (combinations, energies)."""
    mus = np.stack([_mu(name, energies) for name in ("titanium", "bone", "soft_tissue")])
    return np.array(list(product(TITANIUM_MM, BONE_MM, TISSUE_MM))) @ mus


def _mu(material: str, energies: Array) -> Array:
    return np.array([mu_per_mm(material, energy) for energy in energies])
