"""What was measured, seen, felt or known of one implant, and by whom (`evidence/1`)."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from pydantic import Field, field_validator, model_validator

from features.input_file import BadInput, StrictModel, check, read_json

if TYPE_CHECKING:
    from identify.checklist import Checklist, ChecklistItem

By = Literal["film", "eye", "mouth", "bench", "known"]

UNDECIDED = frozenset({"not assessable", "can't tell"})  # both weigh exactly 0
ON_THE_FILM = frozenset({"film", "eye"})  # read off the film, so its scale error is shared
BY_HAND = frozenset({"mouth", "bench"})  # the thing itself was looked at or felt
On = Literal["implant", "part", "can't tell"]
# An abutment screwed to the implant has a connection and a screw of its own.
NOT_THE_IMPLANT = {
    "part": "of a part screwed to the implant, not of the implant itself",
    "can't tell": "it cannot be told whether it is of the implant or of a part screwed to it",
}
WIDTH = "coronal_width_mm"  # what lengths are divided by on a film without a scale

# A hand measure given without its uncertainty: calliper and gauge habits, common practice.
DEFAULT_STD = {"length": 0.1, "angle": 2.0, "number": 2.0}  # mm, degrees, years
DEFAULT_STD_RATIO = 0.02


class Item(StrictModel):
    """One observation: a number (`value`, in the unit its key names) or a `state`.

    `std_local` is the standard uncertainty without the scale's share; `probability` that of
    `state` being right; `on` says whether it is of the implant or of a part screwed to it;
    `also` are other people's answers, which were not weighed. `beside` is another implant of the
    case, and `lends` what was made of it by itself: shares of families.
    """

    value: float | None = None
    std_local: float | None = Field(default=None, ge=0)
    state: str | None = None
    probability: float = Field(default=1.0, gt=0, le=1)
    by: By
    on: On = "implant"
    note: str = ""
    also: tuple[Item, ...] = ()
    beside: str = ""
    lends: Mapping[str, float] = Field(default_factory=dict)

    @field_validator("lends")
    @classmethod
    def _are_shares(cls, lends: Mapping[str, float]) -> Mapping[str, float]:
        if any(share < 0 for share in lends.values()) or sum(lends.values()) > 1 + 1e-4:
            raise ValueError("the shares are to be 0 or more and sum to 1 at most")
        return lends

    @model_validator(mode="after")
    def _is_one_kind(self) -> Item:
        if (self.value is None) == (self.state is None):
            raise ValueError("give either a 'value' or a 'state'")
        return self

    @property
    def decided(self) -> bool:
        """Whether it says anything: neither a person nor the film left it open."""
        return self.state not in UNDECIDED

    def shares_scale(self, entry: ChecklistItem) -> bool:
        """Whether this is a length read off the film, with the scale error of all of them."""
        return entry.kind == "length" and self.by in ON_THE_FILM


class FilmScale(StrictModel):
    """The scale of the film: its `kind` and relative standard uncertainty (0.005 = 0.5 %).

    `axial_rel_std` is how far the tilt of the beam may stretch or shorten all lengths along the
    axis together, relative, k = 1.
    """

    kind: str = "none"
    rel_std: float | None = Field(default=None, ge=0, le=1)
    axial_rel_std: float = Field(default=0.0, ge=0, le=0.2)

    @model_validator(mode="after")
    def _has_an_uncertainty(self) -> FilmScale:
        if self.kind != "none" and self.rel_std is None:
            raise ValueError("'rel_std' is missing; give the scale's relative uncertainty")
        return self


class SetAside(StrictModel):
    """Something that weighs 0, and why; `item` where there was an observation at all."""

    reason: str
    item: Item | None = None


class Evidence(StrictModel):
    """All that is weighed for one implant, and all that was set aside with its reason."""

    radiofixture: Literal["evidence/1"] = "evidence/1"
    label: str = ""
    scale: FilmScale = FilmScale()
    items: Mapping[str, Item] = Field(default_factory=dict)
    set_aside: Mapping[str, SetAside] = Field(default_factory=dict)

    def to_json(self) -> dict[str, Any]:
        """As in the file contract, without the entries that hold their default."""
        return {"radiofixture": self.radiofixture} | self.model_dump(
            mode="json", exclude_defaults=True
        )


def load_evidence(path: Path) -> Evidence:
    """Read an evidence file.

    Raises
    ------
    BadInput
        One sentence: what is wrong, where, and the way out.
    """
    return check(Evidence, read_json(path, "evidence file"), str(path))


def find_item(key: str, checklist: Checklist) -> ChecklistItem | None:
    """Return the checklist entry an evidence key belongs to, directly or as its ratio."""
    if key in checklist.items:
        return checklist.items[key]
    return next((item for item in checklist.items.values() if item.ratio == key), None)


def entry_of(key: str, checklist: Checklist) -> ChecklistItem:
    """Return the checklist entry of a key that `check_evidence` has let through."""
    entry = find_item(key, checklist)
    assert entry is not None
    return entry


def check_evidence(evidence: Evidence, checklist: Checklist, what: str = "evidence") -> None:
    """Hold evidence against the checklist: known keys, fitting kinds, states and scale.

    Raises
    ------
    BadInput
        One sentence naming the first item that cannot be weighed.
    """
    for key, item in evidence.items.items():
        entry = find_item(key, checklist)
        if entry is None:
            raise BadInput(
                f"{what}: '{key}' is not an item of the checklist{_nearest(key, checklist)}."
            )
        problem = _kind_problem(item, entry) or _scale_problem(key, item, entry, evidence.scale)
        if problem:
            raise BadInput(f"{what}: '{key}' {problem}.")


def _nearest(key: str, checklist: Checklist) -> str:
    near = difflib.get_close_matches(key, checklist.items, n=1)
    return f"; did you mean '{near[0]}'?" if near else "; see FORMAT.md for the items there are"


def _kind_problem(item: Item, entry: ChecklistItem) -> str:
    if entry.is_number:
        known = item.value is not None or not item.decided
        return "" if known else f"is a number; give a 'value' in {entry.unit}, or can't tell"
    if item.state is None:
        return f"has no number; give a 'state': {', '.join(entry.states)} or can't tell"
    if item.lends and not (entry.alike and item.state == "present"):
        return "was not placed with another implant; leave out 'lends'"
    if item.decided and item.state not in entry.states:
        return f"cannot be '{item.state}'; use one of {', '.join(entry.states)} or can't tell"
    return ""


def _scale_problem(key: str, item: Item, entry: ChecklistItem, scale: FilmScale) -> str:
    if not item.shares_scale(entry):
        return f"is a ratio; give '{entry.key}' in mm instead" if key == entry.ratio else ""
    if key == entry.ratio and scale.kind != "none":
        return f"is a ratio, for films without a scale; give '{entry.key}' instead"
    if key == entry.key and scale.kind == "none":
        return "was read off a film that has no scale; give the film's 'scale', or its ratio"
    return ""


def by_hand(evidence: Evidence, key: str) -> Item | None:
    """Return a number that was measured on the implant itself, in the mouth or on the bench."""
    item = evidence.items.get(key)
    if item is None or item.value is None or item.by not in BY_HAND or item.on != "implant":
        return None
    return item


def telling_items(evidence: Evidence, checklist: Checklist) -> dict[str, Item]:
    """Return the items that weigh, in a fixed order whatever order they came in."""
    return {
        key: item
        for key, item in sorted(evidence.items.items())
        if not _why_silent(item, find_item(key, checklist))
    }


def silent_items(evidence: Evidence, checklist: Checklist) -> dict[str, str]:
    """Return everything that weighs 0, with the reason."""
    reasons = {key: aside.reason for key, aside in evidence.set_aside.items()}
    for key, item in evidence.items.items():
        reason = _why_silent(item, find_item(key, checklist))
        if reason:
            reasons[key] = reason
    return dict(sorted(reasons.items()))


def _why_silent(item: Item, entry: ChecklistItem | None) -> str:
    if not item.decided:
        return item.note or str(item.state)
    if entry is None or item.state in entry.silent:
        return f"'{item.state}' says nothing of the family"
    return NOT_THE_IMPLANT.get(item.on, "") if item.by in BY_HAND else ""


def connection_seen(telling: Mapping[str, Item], checklist: Checklist) -> bool:
    """Whether something that weighs shows the connection itself: a screw or driver does not."""
    return any(
        item.by in BY_HAND and entry_of(key, checklist).shows_connection
        for key, item in telling.items()
    )


def item_std(item: Item, entry: ChecklistItem, *, ratio: bool = False) -> float:
    """Return the standard uncertainty of a number item, in its unit; a default where none came."""
    if item.std_local is not None:
        return item.std_local
    if item.by in BY_HAND and entry.by_hand_std:
        return entry.by_hand_std.value
    return DEFAULT_STD_RATIO if ratio else DEFAULT_STD[entry.kind]
