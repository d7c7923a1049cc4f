"""Why: a plain sentence for every weight, the reasons each way, and the verdict in one sentence."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from features.quantity import Measured
from identify.checklist import Checklist, ChecklistItem
from identify.evidence import WIDTH, Evidence, Item, item_std
from identify.note import Family, NumberFact, StateFact
from identify.ranking import NONE_OF_THESE, NOT_AN_IMPLANT, SHARED_SCALE, Row, Support, Verdict
from identify.words import BY, GROUPS, measured_text, percent

if TYPE_CHECKING:
    from identify.knowledge import Notes

LITTLE_POINTS = 1.0  # less than a quarter more or less likely: not worth a word
STRONG_POINTS = 10.0  # ten times the odds
KINDS_UNSEEN = "its kinds are not told apart before the platform is seen"
NOT_ENOUGH = "not enough to order parts"


def row(
    key: str,
    evidence: Evidence,
    entry: ChecklistItem,
    family: Family,
    *,
    points: float,
    speaker: ChecklistItem,
) -> Row:
    """Put what one item says about one family into a row.

    `speaker` is the item that counts for this one's group; `entry` itself where it counts.
    """
    item = evidence.items[key]
    if item.lends:
        said = f"{_lent_words(item, entry, family)}; {_weight_words(points)}."
        return Row(item=key, points=points, sentence=said, by=item.by)
    counts = speaker.key == entry.key or entry.key not in family.facts
    ending = _weight_words(points) if counts else f"counted with {speaker.label.lower()}"
    if entry.key not in family.facts:
        ending = "nothing is noted of it here, so it weighs 0"
    said = _number_words(key, evidence, entry, family) if entry.is_number else ""
    sentence = f"{said or _state_words(item, entry, family)}; {ending}."
    return Row(
        item=key,
        points=points if counts else 0.0,
        sentence=sentence,
        by=item.by,
        counted_with="" if counts else speaker.key,
    )


def _lent_words(item: Item, entry: ChecklistItem, family: Family) -> str:
    who = item.note or BY[item.by]
    # a claim under test has its family's share
    share = item.lends.get(family.key, 0.0)
    alike = percent(entry.alike.value) if entry.alike else ""
    return (
        f"{entry.label} {item.beside or 'another'} ({who}), by itself {percent(share)} of this "
        f"family; two placed together are taken to be of one family in {alike}"
    )


def shared_row(points: float) -> Row:
    """Say what the lengths' common scale error gives back or takes."""
    way = "gives back" if points > 0 else "takes back"
    return Row(
        item=SHARED_SCALE,
        points=points,
        sentence=f"All lengths share one scale; weighing them together {way} part of their points.",
        by="",
    )


def _weight_words(points: float) -> str:
    if abs(points) < LITTLE_POINTS:
        return "that weighs little"
    strength = "strongly " if abs(points) >= STRONG_POINTS else ""
    return f"that speaks {strength}{'for' if points > 0 else 'against'} it"


def _number_words(key: str, evidence: Evidence, entry: ChecklistItem, family: Family) -> str:
    item = evidence.items[key]
    assert item.value is not None
    is_ratio = key == entry.ratio
    rel_std = (evidence.scale.rel_std or 0.0) if item.shares_scale(entry) else 0.0
    seen = Measured(
        item.value,
        item_std(item, entry, ratio=is_ratio),
        "" if is_ratio else entry.unit,
        abs(item.value) * rel_std,
    )
    what = f"{entry.label} {'÷ body width ' if is_ratio else ''}{_number_text(seen)}"
    expected = _expected(entry, family, is_ratio=is_ratio)
    if expected is None:
        return what
    return f"{what} {_place(seen, *expected)}"


def _number_text(seen: Measured) -> str:
    # a year keeps all its digits, other units are worded in one place for everybody
    if seen.unit == "year":
        return f"{seen.value:.0f} ± {1.96 * seen.std:.0f}"
    return measured_text(seen)


def _expected(
    entry: ChecklistItem, family: Family, *, is_ratio: bool
) -> tuple[float, float] | None:
    fact = family.facts.get(entry.key)
    if not isinstance(fact, NumberFact):
        return None
    if not is_ratio:
        return fact.low, fact.high
    width = family.facts.get(WIDTH)
    if not isinstance(width, NumberFact):
        return None
    return fact.low / width.high, fact.high / width.low


def _place(seen: Measured, low: float, high: float) -> str:
    unit = {"deg": "°", "year": "", "": ""}.get(seen.unit, f" {seen.unit}")
    places = {"year": 0, "deg": 1}.get(seen.unit, 2)
    joined = f"{low:.{places}f}–{high:.{places}f}"
    if low < 0:
        joined = f"{low:.{places}f} to {high:.{places}f}".replace("-", "−")
    expected = f"the {joined}{unit} expected here"
    if low <= seen.value <= high:
        return f"lies within {expected}"
    off = low - seen.value if seen.value < low else seen.value - high
    side = "below" if seen.value < low else "above"
    return f"lies {_at_least_a_digit(off, places)}{unit} {side} {expected}"


def _at_least_a_digit(off: float, places: int) -> str:
    least = 10.0**-places
    return f"under {least:.{places}f}" if off < least else f"{off:.{places}f}"


def _state_words(item: Item, entry: ChecklistItem, family: Family) -> str:
    seen = {"present": "seen", "absent": "looked for and not seen"}.get(
        str(item.state), str(item.state)
    )
    who = "" if item.by == "film" else f" ({BY[item.by]})"
    sure = "" if math.isclose(item.probability, 1.0) else f", {percent(item.probability)} sure"
    fact = family.facts.get(entry.key)
    if not isinstance(fact, StateFact):
        return f"{entry.label}: {seen}{sure}{who}"
    spoken = sum(p for state, p in fact.probabilities.items() if state not in entry.silent)
    share = fact.probabilities.get(str(item.state), 0.0) / spoken
    return f"{entry.label}: {seen}{sure}{who}; expected in {percent(share)} here"


def support_word(probability: float, rows: Sequence[Row], checklist: Checklist) -> str:
    """Return the verdict word of one hypothesis: its probability, and its worst single item."""
    least = min((row.points for row in rows if row.item != SHARED_SCALE), default=0.0)
    return checklist.word(probability, least)


def best_for(support: Support, rivals: Sequence[Support] = ()) -> Row | None:
    """Return the row that speaks most for it; None where nothing does worth a word.

    With `rivals`, the row that speaks more for it than for them: what all share tells nothing.
    """
    some = [row for row in support.rows if row.points >= LITTLE_POINTS]
    return max(some, key=lambda row: row.points - _mean_points(row.item, rivals), default=None)


def _mean_points(item: str, supports: Sequence[Support]) -> float:
    points = [row.points for support in supports for row in support.rows if row.item == item]
    return sum(points) / len(points) if points else 0.0


def best_against(support: Support) -> Row | None:
    """Return the row that speaks most against it; None where nothing does worth a word."""
    worst = min(
        (row for row in support.rows if row.item != SHARED_SCALE),
        key=lambda row: row.points,
        default=None,
    )
    return worst if worst and worst.points <= -LITTLE_POINTS else None


def verdict(
    supports: Sequence[Support],
    groups: Mapping[str, float],
    notes: Notes,
    *,
    alike: Sequence[str] = (),
) -> Verdict:
    """Say the whole in one sentence: connection group and body first, how strongly, and no parts.

    The word is that of the leading family, also where a rival leads. `alike` are the families
    that are not ranked apart.
    """
    family = next(support for support in supports if support.key in notes.families)
    leader = supports[0]
    if leader.key == NOT_AN_IMPLANT:
        opening = f"This may not be an implant at all ({percent(leader.probability)})"
    elif leader.key == NONE_OF_THESE:
        opening = f"None of the families described here fits well ({percent(leader.probability)})"
    else:
        kinds = f" ({KINDS_UNSEEN})" if family.key in alike else ""
        return Verdict(family.verdict, _family_sentence(family, groups, notes, kinds))
    nearest = f"the nearest family, {_title(family)}, has {percent(family.probability)}"
    return Verdict(family.verdict, f"{opening}; {nearest}; {NOT_ENOUGH}.")


def _family_sentence(family: Support, groups: Mapping[str, float], notes: Notes, kinds: str) -> str:
    body = notes.families[family.key].body
    connection = _capital(_connection_words(groups, notes.checklist))
    fit = f"best fit {_title(family)}, {family.verdict} ({percent(family.probability)}){kinds}"
    return f"{connection}; body: {body}; {fit}; {NOT_ENOUGH}."


def _connection_words(groups: Mapping[str, float], checklist: Checklist) -> str:
    """Name the likeliest group; the second too while the first has not the better half."""
    first, *others = sorted(groups, key=lambda name: -groups[name])
    named = [first, *others[:1]] if groups[first] < 0.5 else [first]
    return ", or ".join(
        f"{GROUPS[name]} {checklist.word(groups[name], 0.0)} ({percent(groups[name])})"
        for name in named
    )


def _title(support: Support) -> str:
    return support.title[:1].lower() + support.title[1:]


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
