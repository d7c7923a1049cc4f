"""`radiofixture restore`: the case, the films that go with it, and the plan as tables."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from features.input_file import BadInput, check, read_json
from identify.case_file import Case, load_case
from identify.film_tilts import tilts_of_reading
from identify.knowledge import load_notes
from identify.restore import plan


def restore_case(path: Path, readings: Sequence[Path]) -> dict[str, Any]:
    """Plan a case (`plan/1`), with the tilts of any readings of the same arch put into it.

    Raises
    ------
    BadInput
        A file cannot be used, or facts contradict each other.
    """
    case = load_case(path)
    films = [
        film
        for reading in readings
        if (film := tilts_of_reading(_reading(reading), case.implants, reading.name))
    ]
    if films:
        known = case.model_dump(exclude_unset=True)
        case = check(Case, known | {"films": [*known.get("films", ()), *films]}, str(path))
    return plan(case, load_notes()).to_json()


def show(data: Mapping[str, Any]) -> None:
    """Print the plan for people."""
    from identify.cli_tables import show_plan  # noqa: PLC0415 - not needed where JSON is asked for

    show_plan(data)


def _reading(path: Path) -> Mapping[str, Any]:
    data = read_json(path, "reading")
    if not isinstance(data, dict) or data.get("radiofixture") != "reading/1":
        raise BadInput(
            f"{path}: this is no reading (reading/1); write one with 'radiofixture read --json'."
        )
    return data
