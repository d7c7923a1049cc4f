"""Many films from consecutive seeds, made one after another; what is there is left alone."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

from sample_images.film_files import is_complete, write
from sample_images.scene import Facts, Wanted
from sample_images.simulate import simulate
from sample_images.simulated import stem_of

FactsOf = Callable[[str], Facts | None]


@dataclass(frozen=True, slots=True)
class Order:
    """One film to make.

    Attributes
    ----------
    key : str
        One of `scene.KEYS`.
    kind : str
        One of `film_files.KINDS`.
    facts : mapping or None
        The note's facts on this family, as plain tables.
    """

    key: str
    seed: int
    level: str = "clinical"
    kind: str = "png16"
    wanted: Wanted = field(default_factory=Wanted)
    detectability: bool = True
    facts: Facts | None = None

    @property
    def stem(self) -> str:
        """Name of its files."""
        return stem_of(self.key, self.level, self.seed)

    @property
    def asked(self) -> dict[str, Any]:
        """As the truth of the film will say it."""
        return self.wanted.to_json(self.facts) | {"detectability": self.detectability}


def list_orders(
    keys: Sequence[str],
    first_seed: int,
    number: int,
    facts_of: FactsOf = lambda _: None,
    **each: Any,
) -> tuple[Order, ...]:
    """Orders for `number` films with seeds from `first_seed` on, the keys in turn."""
    turn = [keys[index % len(keys)] for index in range(number)]
    facts: Mapping[str, Facts | None] = {key: facts_of(key) for key in set(turn)}
    return tuple(
        Order(key, first_seed + index, facts=facts[key], **each) for index, key in enumerate(turn)
    )


def make(order: Order, folder: Path) -> bool:
    """Make a film unless its files are there, whole and asked for in the same way.

    Returns
    -------
    Whether it was made now.
    """
    if is_complete(folder, order.stem, order.kind, order.asked):
        return False
    film = simulate(
        order.key,
        order.seed,
        order.level,
        order.facts,
        detectability=order.detectability,
        **asdict(order.wanted),
    )
    write(film, folder, order.kind)
    return True
