"""Steps, cautions and parts of one option: which rows of the rules speak, and what is to be had."""

from __future__ import annotations

from typing import Any

from identify.case_parts import rows_of
from identify.case_site import Site
from identify.when import Facts

UNLISTED = "not on the Shelf"
READY = ("in stock", "orderable")


def steps_of(facts: Facts, site: Site) -> tuple[str, ...]:
    """Return the steps in order; the first is how the old work comes off."""
    steps: list[str] = []
    for row in site.rules.steps:
        if row.when.fits(facts):
            if row.joined and steps:
                steps[-1] += f" {row.text}"
            else:
                steps.append(row.text)
    return tuple(dict.fromkeys(steps))


def cautions_of(facts: Facts, site: Site) -> tuple[str, ...]:
    """Return the stamp while nothing is confirmed, the option's cautions, then the family's."""
    stamp = () if _may_order(facts) else (site.rules.not_confirmed,)
    own = (row.text for row in site.rules.cautions if row.when.fits(facts))
    return tuple(dict.fromkeys((*stamp, *own, *site.restoring.cautions)))


def kinds_of(facts: Facts, site: Site) -> tuple[str, ...]:
    """Return the kinds of parts an option needs, each once."""
    rows = (row.kinds for row in site.rules.parts if row.when.fits(facts))
    return tuple(dict.fromkeys(kind for kinds in rows for kind in kinds))


def parts_of_option(facts: Facts, site: Site) -> tuple[dict[str, Any], ...]:
    """List the parts, and what the Shelf or the family's note says of each."""
    may_order = _may_order(facts)
    return tuple(_part(kind, site, may_order=may_order) for kind in kinds_of(facts, site))


def _may_order(facts: Facts) -> bool:
    return "yes" in facts.words["confirmed"]


def _part(kind: str, site: Site, *, may_order: bool) -> dict[str, Any]:
    case, rules = site.case, site.rules
    rows = rows_of((kind,), case, rules)
    part: dict[str, Any] = {"kind": kind}
    if rows:
        part |= rows[0].model_dump(include={"state", "checked_on"}, exclude_none=True)
        if not may_order and part["state"] in READY:
            # what lies in the drawer fits the family that was guessed, not the one in the bone
            part |= {"state": rules.ask_only, "on_shelf": part["state"]}
    else:
        part["state"] = UNLISTED if case.parts else rules.supply[site.restoring.supply]
    if case.screw_thread and "screw" in kind:
        part["thread"] = case.screw_thread
    return part


def missing_parts(facts: Facts, site: Site) -> tuple[tuple[str, str], ...]:
    """Return kinds that the Shelf says are scarce or no longer made, with its word."""
    found = ((kind, rows_of((kind,), site.case, site.rules)) for kind in kinds_of(facts, site))
    states = ((kind, rows[0].state) for kind, rows in found if rows)
    return tuple((kind, state) for kind, state in states if state in ("scarce", "discontinued"))
