"""A letter that asks the placing clinic for its records; the cheapest look there is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from identify.printed import Paper, print_pages
from identify.teeth import tooth_text

# Common practice: what a record of placement usually holds and the next clinician needs.
ASKED_FOR = (
    "the name of the implant as on its label, with reference and lot number",
    "diameter and length of the implant, and the platform",
    "the abutment and screws fitted, with their reference numbers",
    "date of placement, and of uncovering and restoration",
    "films at placement, at uncovering and before any crown was fitted",
    "the patient’s implant card, if one was given",
)


@dataclass(frozen=True, slots=True)
class Letter:
    """What a person types; nothing of it is filled in for them. `teeth` are FDI numbers."""

    to: str = ""
    sender: str = ""
    patient: str = ""
    teeth: tuple[str, ...] = ()
    placed: str = ""
    date: str = ""


def letter_pdf(letter: Letter, paper: Paper = "a4") -> bytes:
    """Print the letter; what was left empty is a line to write on."""
    return print_pages("letter.typ", letter_data(letter) | {"paper": paper})


def letter_data(letter: Letter) -> dict[str, Any]:
    """Return everything in the letter as plain data."""
    return {
        "title": "Request for implant records",
        "foot": "Request for implant records",
        "stamp": "",
        "to": letter.to,
        "sender": letter.sender,
        "patient": letter.patient,
        "teeth": " and ".join(tooth_text(tooth) for tooth in letter.teeth),
        "placed": letter.placed,
        "date": letter.date,
        "asked_for": list(ASKED_FOR),
        "version": "",
    }
