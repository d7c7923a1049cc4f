"""The practice's own parts, as plain rows of the case: which of them fit an implant."""

from __future__ import annotations

from identify.case_file import Case, PartRow
from identify.rules import Rules

TO_BE_HAD = ("in stock", "orderable", "scarce", "discontinued")  # the best first


def rows_of(kinds: tuple[str, ...], case: Case, rules: Rules) -> list[PartRow]:
    """Find rows of these kinds for any platform of the case, the easiest to get first."""
    wanted = {kind.casefold() for kind in kinds}
    rows = [r for r in case.parts if r.kind.casefold() in wanted and _fits(r, case, rules)]
    return sorted(rows, key=lambda row: TO_BE_HAD.index(row.state))


def _fits(row: PartRow, case: Case, rules: Rules) -> bool:
    widths = _platforms(case)
    if row.platform_width_mm is None or not widths:
        return True
    return any(abs(row.platform_width_mm - width) <= rules.platform_match_mm for width in widths)


def _platforms(case: Case) -> list[float]:
    return [i.platform_width_mm for i in case.implants if i.platform_width_mm is not None]


def platforms_without_rows(case: Case, rules: Rules) -> list[str]:
    """Say of every implant whose platform no row of the Shelf has; or that no platform is known."""
    known = sorted({row.platform_width_mm for row in case.parts if row.platform_width_mm})
    if not known:
        return []
    listed = ", ".join(f"{width:g}" for width in known)
    if case.implants and not _platforms(case):
        return [f"No platform is measured: parts of the Shelf count at any width ({listed} mm)."]
    return [
        f"No row of the Shelf has a platform of {width:g} mm (implant {implant.label}); it lists "
        f"{listed} mm: measure the platform again, or add its parts to the Shelf."
        for implant in case.implants
        if (width := implant.platform_width_mm) is not None
        and all(abs(width - one) > rules.platform_match_mm for one in known)
    ]
