"""Which of the sizes on the shelf it is, once its family is taken as given.

Lengths read off one film are wrong together, by the scale, and those along the axis by the tilt
too: both errors are integrated out over all of them at once. "Another size" competes always, with
the sizes the family's note allows.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from identify.evidence import WIDTH, Evidence, Item, entry_of, item_std, telling_items
from identify.likelihood import (
    POINTS_PER_NEPER,
    Array,
    Shared,
    number_terms,
    posterior,
    scale_nodes,
    width_nodes,
)
from identify.note import Fact, NumberFact, StateFact
from identify.shelf import SAME_WIDTH_MM, Shelf, Size
from identify.size_facts import INDEX, PLATFORM, SIZED, size_facts

if TYPE_CHECKING:
    from identify.knowledge import Notes

Facts = Mapping[str, Fact]


@dataclass(frozen=True, slots=True)
class SizeShare:
    """One size, how probable it is, and how probable each of its lengths then is."""

    size: Size
    probability: float
    lengths: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class SizeMatch:
    """The sizes of one family on the shelf, likeliest first; with `other` they sum to 1.

    Attributes
    ----------
    counted : tuple of str
        Keys of what was measured or seen and could tell sizes apart; empty where nothing could.
    """

    family: str
    shares: tuple[SizeShare, ...]
    other: float
    counted: tuple[str, ...]

    @property
    def platforms(self) -> tuple[tuple[float | None, float], ...]:
        """Platform widths in mm with their probability, whatever the system; likeliest first."""
        summed: list[tuple[float | None, float]] = []
        for share in self.shares:
            width = share.size.platform_width_mm
            place = next((i for i, (other, _) in enumerate(summed) if _same(width, other)), None)
            if place is None:
                summed.append((width, share.probability))
            else:
                summed[place] = summed[place][0], summed[place][1] + share.probability
        return tuple(sorted(summed, key=lambda pair: -pair[1]))

    def to_json(self) -> dict[str, Any]:
        """As in the file contract `sizes/1`."""
        return {
            "radiofixture": "sizes/1",
            "family": self.family,
            "counted": list(self.counted),
            "platforms": [
                {"platform_width_mm": width, "probability": round(chance, 6)}
                for width, chance in self.platforms
            ],
            "sizes": [_share_json(share) for share in self.shares],
            "other": round(self.other, 6),
        }


def _same(width: float | None, other: float | None) -> bool:
    if width is None or other is None:
        return width is other
    return abs(width - other) < SAME_WIDTH_MM


def _share_json(share: SizeShare) -> dict[str, Any]:
    return {
        "system": share.size.system,
        "size": share.size.size,
        "platform_width_mm": share.size.platform_width_mm,
        "probability": round(share.probability, 6),
        "lengths": [
            {"length_mm": length, "probability": round(chance, 6)}
            for length, chance in share.lengths
        ],
    }


def match_sizes(evidence: Evidence, notes: Notes, shelf: Shelf, family: str) -> SizeMatch:
    """Weigh every size of `family` on the shelf, and "another size", by what was measured.

    Parameters
    ----------
    family : str
        Key of the family that is taken as given.
    """
    sizes = shelf.sizes_of(family)
    telling = telling_items(evidence, notes.checklist)
    looked = {key: item for key, item in telling.items() if _sized(key, notes) or key == INDEX}
    if not sizes or not looked:
        return SizeMatch(family, (), 1.0, ())
    bodies = [(size, length) for size in sizes for length in size.lengths_mm or (None,)]
    expected = [_expected(size, length, family, notes) for size, length in bodies]
    logs = _log_densities(looked, evidence, notes, [*expected, notes.families[family].facts])
    chances = posterior(logs * POINTS_PER_NEPER, _priors(sizes, notes))
    return SizeMatch(family, _shares(sizes, bodies, chances), float(chances[-1]), tuple(looked))


def _sized(key: str, notes: Notes) -> bool:
    return entry_of(key, notes.checklist).key in SIZED


def _priors(sizes: Sequence[Size], notes: Notes) -> Array:
    """Equal for every size, whether it comes in one length or ten; "another" has its own."""
    other = notes.shelf.matching.prior_other.value
    each = (1 - other) / len(sizes)
    lengths = [max(len(size.lengths_mm), 1) for size in sizes]
    return np.array([*(each / number for number in lengths for _ in range(number)), other])


def _expected(size: Size, length_mm: float | None, family: str, notes: Notes) -> Facts:
    one_length = () if length_mm is None else (length_mm,)
    return size_facts(size.model_copy(update={"lengths_mm": one_length}), family, notes)


def _log_densities(
    looked: Mapping[str, Item], evidence: Evidence, notes: Notes, expected: Sequence[Facts]
) -> Array:
    """Log density of everything looked at under each expectation, "another size" being the last."""
    shared = _shared(evidence, notes, expected)
    nodes = shared.log_weights
    alone = np.zeros(len(expected))
    for key, item in looked.items():
        if key == INDEX:
            alone += _log_states(item, notes, expected)
        else:
            nodes = nodes + _log_numbers(key, looked, notes, expected, shared)
    top = nodes.max(axis=1, keepdims=True)
    return np.asarray(alone + top[:, 0] + np.log(np.exp(nodes - top).sum(axis=1)))


def _shared(evidence: Evidence, notes: Notes, expected: Sequence[Facts]) -> Shared:
    """Return the nodes over scale and tilt, or over the width itself where there is no scale."""
    scale = evidence.scale
    if scale.kind != "none":
        return scale_nodes(scale.rel_std or 0.0, len(expected), scale.axial_rel_std)
    broad = notes.checklist.items[WIDTH].broad
    assert isinstance(broad, NumberFact)
    widths = [_number(facts, WIDTH) for facts in expected]
    return width_nodes(broad, widths, scale.axial_rel_std)


def _number(facts: Facts, key: str) -> NumberFact | None:
    fact = facts.get(key)
    return fact if isinstance(fact, NumberFact) else None


def _log_numbers(
    key: str,
    looked: Mapping[str, Item],
    notes: Notes,
    expected: Sequence[Facts],
    shared: Shared,
) -> Array:
    """One measure's log density under each expectation at each node (H, K), or (H, 1)."""
    entry, item = entry_of(key, notes.checklist), looked[key]
    assert item.value is not None
    assert isinstance(entry.broad, NumberFact)
    std = item_std(item, entry, ratio=key == entry.ratio)
    on_film = item.shares_scale(entry)
    factors = shared.of(along_axis=entry.along_axis) if on_film else np.ones(1)
    facts = [_number(one, entry.key) for one in expected]
    if entry.key == PLATFORM:
        facts[-1] = _beside_body(looked, notes) or facts[-1]
    return number_terms(item.value, std, facts, entry.broad, factors)[0]


def _beside_body(looked: Mapping[str, Item], notes: Notes) -> NumberFact | None:
    """Expect of "another size" a platform near its body: the two are no two coincidences."""
    body = looked.get(WIDTH)
    if body is None or body.value is None:
        return None
    setting = notes.shelf.matching.body_beside_platform_std_mm
    return NumberFact(
        low=body.value, high=body.value, edge=setting.value, standing=setting.standing
    )


def _log_states(item: Item, notes: Notes, expected: Sequence[Facts]) -> Array:
    """Log probability of what was said of the index, right or wrong."""
    broad = notes.checklist.items[INDEX].broad
    facts = [one.get(INDEX, broad) for one in expected]
    share = np.array([f.probabilities[str(item.state)] for f in facts if isinstance(f, StateFact)])
    return np.asarray(np.log(item.probability * share + (1 - item.probability) * (1 - share)))


def _shares(
    sizes: Sequence[Size], bodies: Sequence[tuple[Size, float | None]], chances: Array
) -> tuple[SizeShare, ...]:
    shares = []
    for size in sizes:
        own = [
            (length, float(chance))
            for (other, length), chance in zip(bodies, chances, strict=False)
            if other is size
        ]
        whole = sum(chance for _, chance in own)
        lengths = [(mm, chance / whole) for mm, chance in own if mm is not None and whole > 0]
        shares.append(SizeShare(size, whole, tuple(sorted(lengths, key=lambda one: -one[1]))))
    return tuple(sorted(shares, key=lambda share: (-share.probability, share.size.key)))
