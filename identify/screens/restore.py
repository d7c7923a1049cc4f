"""Restore: what can be built on a family, with the reasons, and what to beware of."""

from __future__ import annotations

from identify.screens import family_plan, look

LEAD = "What can still be built on it. The family is a guess until it is confirmed in the mouth."


def show() -> None:
    case, reading, judged = look.judged_page("Restore", LEAD)
    family_plan.show(case, reading, judged)
    look.next_button("Write the record", "record")


show()
