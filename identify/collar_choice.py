"""Which margin or collar height on the Shelf suits the gum's measured depth."""

from __future__ import annotations

from typing import Any

from identify.case_file import Case, CaseImplant, PartRow
from identify.case_parts import rows_of
from identify.rules import Collar, Rules
from identify.when import Facts


def choose_collars(facts: Facts, case: Case, rules: Rules) -> tuple[dict[str, Any], ...]:
    """Choose for every implant whose gum was measured; empty where no rule is about the option."""
    rule = next((rule for rule in rules.collars if rule.when.fits(facts)), None)
    if rule is None:
        return ()
    return tuple(
        {"label": implant.label} | _choice(rule, implant.tissue_depth_mm, implant, case, rules)
        for implant in case.implants
        if implant.tissue_depth_mm is not None
    )


def _choice(
    rule: Collar, depth_mm: float, implant: CaseImplant, case: Case, rules: Rules
) -> dict[str, Any]:
    wanted = (max(0.0, depth_mm + rule.lowest_mm), depth_mm + rule.highest_mm)
    window = f"a {rule.name} of {wanted[0]:g} to {wanted[1]:g} mm for {depth_mm:g} mm of gum"
    alone = case.model_copy(update={"implants": (implant,)})
    rows = [row for row in rows_of(rule.kinds, alone, rules) if row.height_mm is not None]
    fitting = [row for row in rows if wanted[0] <= (row.height_mm or 0.0) <= wanted[1]]
    out: dict[str, Any] = {"wanted_mm": list(wanted), "standing": rule.standing}
    if fitting:
        best = min(fitting, key=lambda row: abs((row.height_mm or 0.0) - sum(wanted) / 2))
        return out | {"part": _part(best), "text": f"{window}: take {best.height_mm:g} mm."}
    return out | {"part": None, "text": f"{window}: {_none(rows)}."}


def _part(row: PartRow) -> dict[str, Any]:
    return row.model_dump(exclude_none=True)


def _none(rows: list[PartRow]) -> str:
    if not rows:
        return "the Shelf has no such part with a height"
    heights = ", ".join(f"{row.height_mm:g}" for row in rows)
    return f"none on the Shelf ({heights} mm)"
