"""A simulated film in memory."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, TypeAlias

import numpy.typing as npt

Pixels: TypeAlias = npt.NDArray[Any]
"""Whole numbers: grey (H, W) or colour (H, W, 3)."""


@dataclass(frozen=True, slots=True, eq=False)
class Simulated:
    """A film and what is true of it.

    `pixels` is uint16 (H, W), bright = radiopaque, or uint8 (H, W, 3) where the film was
    photographed from a screen; `truth` and `marks` are the files' contents.
    """

    pixels: Pixels
    truth: dict[str, Any]
    marks: dict[str, Any]

    @property
    def stem(self) -> str:
        """File name without its ending."""
        return stem_of(self.truth["key"], self.truth["level"], self.truth["seed"])


def stem_of(key: str, level: str, seed: int) -> str:
    """Name of a film before it is made."""
    return f"{key}-{level}-{seed}"
