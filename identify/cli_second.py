"""`radiofixture second-reading`: a claim held against one film, or two of the same implant."""
# ruff: noqa: PLC0415 - heavy imports stand inside, so that `--help` answers at once

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from identify.cli_output import JsonOption, deliver

if TYPE_CHECKING:
    from identify.evidence import Evidence, Item
    from identify.knowledge import Notes
    from identify.second_reading import Claim


@dataclass(frozen=True, slots=True)
class Claimed:
    """What was typed: a family's key or a row's name on the shelf, and sizes as ``ITEM=MM``."""

    family: str = ""
    row: str = ""
    sizes: Sequence[str] = ()


def read_claim(
    films: Sequence[Path], marks: Sequence[Path], claimed: Claimed, **more: Any
) -> dict[str, Any]:
    """Read the films, weigh the claim; `second-reading/1`.

    Raises
    ------
    BadInput
        Films and marks do not pair up, or the claim names what the notes do not know.
    """
    from identify.combining import combine
    from identify.knowledge import load_notes
    from identify.second_reading import second_reading

    notes = load_notes()
    claim = _claim(claimed, tuple(more.get("assumed", ())))
    answers = _answers(more.get("answers"))
    read = [
        _evidence(film, mark, more.get("label") or "", answers, notes)
        for film, mark in _pairs(films, marks)
    ]
    evidence = combine(read, notes) if len(read) > 1 else read[0]
    data = second_reading(claim, evidence, notes).to_json()
    aside = {key: said.reason for key, said in evidence.set_aside.items()}
    return data | {"films": len(read), "not_weighed": aside}


def _claim(claimed: Claimed, assumed: tuple[str, ...]) -> Claim:
    """Make a claim of a family, or of a row of the shelf; `--size` goes with either."""
    from features.input_file import BadInput
    from identify.second_reading import Claim, claim_of_row
    from identify.shelf import find_size
    from identify.shelf_store import load_shelf

    sizes = _sizes(claimed.sizes)
    if bool(claimed.family) == bool(claimed.row):
        raise BadInput("give either '--claim KEY', a family, or '--row NAME', a size on the shelf.")
    if not claimed.row:
        return Claim(family=claimed.family, sizes=sizes, assumed=assumed)
    length_mm = sizes.pop("length_mm", None)
    row = find_size(load_shelf(), claimed.row)
    return claim_of_row(row, length_mm, sizes=sizes, assumed=assumed)


def _pairs(films: Sequence[Path], marks: Sequence[Path]) -> list[tuple[Path, Path]]:
    from features.input_file import BadInput

    if len(films) != len(marks):
        raise BadInput(
            f"{len(films)} films and {len(marks)} marks files were given; give '--marks' once for "
            "each film, in the same order."
        )
    return list(zip(films, marks, strict=True))


def _sizes(given: Sequence[str]) -> dict[str, float]:
    from features.input_file import BadInput

    sizes = {}
    for text in given:
        key, _, number = text.partition("=")
        try:
            sizes[key] = float(number)
        except ValueError:
            raise BadInput(
                f"--size {text}: write an item of the checklist and its mm, such as "
                "platform_width_mm=4.0."
            ) from None
    return sizes


def _answers(path: Path | None) -> dict[str, Item]:
    from identify.evidence import load_evidence

    return dict(load_evidence(path).items) if path else {}


def _evidence(
    film: Path, marks: Path, label: str, answers: dict[str, Item], notes: Notes
) -> Evidence:
    from features.film import read_film_file
    from features.marks import load_marks
    from features.reading import read_film
    from identify.gathering import gather

    radiograph = read_film_file(film)
    placed = load_marks(marks, width=radiograph.width, height=radiograph.height)
    reading = read_film(radiograph, placed)
    return gather(reading, label or placed.implants[0].label, answers, notes.checklist)


def show_second_reading(data: dict[str, Any]) -> None:
    """Print `second-reading/1` for people."""
    from identify.words import percent, points_text

    typer.echo(data["sentence"])
    typer.echo(data["caution"])
    for word in ("for", "against"):
        for row in data[word]:
            typer.echo(f"{word.capitalize()} ({points_text(row['points'])}): {row['sentence']}")
    for alike in data["lookalikes"]:
        typer.echo(f"Could be instead: {alike['title']} ({percent(alike['probability'])})")
    apart = data["apart"]
    for said in filter(None, (apart and apart["separator"], apart and apart["limit"])):
        typer.echo(said)
    if data["settle"]:
        typer.echo(f"What would settle it: {data['settle']}")


def second_reading_command(  # noqa: PLR0913, PLR0917 - one parameter an option
    films: Annotated[
        list[Path], typer.Argument(metavar="FILM...", help="One film, or more of one implant.")
    ],
    marks: Annotated[list[Path], typer.Option(help="Its marks file; once for each film.")],
    claim: Annotated[str, typer.Option(metavar="KEY", help="The family that is claimed.")] = "",
    row: Annotated[
        str, typer.Option(metavar="NAME", help="A claimed size on the shelf: 'SYSTEM SIZE'.")
    ] = "",
    size: Annotated[
        list[str] | None,
        typer.Option(metavar="ITEM=MM", help="A claimed size, such as platform_width_mm=4.0."),
    ] = None,
    assumed: Annotated[
        list[str] | None, typer.Option(metavar="ITEM", help="Was taken from the claim: weighs 0.")
    ] = None,
    label: Annotated[str | None, typer.Option(help="Label of the implant on the films.")] = None,
    answers: Annotated[
        Path | None, typer.Option(help="What was seen, felt or found on the bench (evidence file).")
    ] = None,
    json_path: JsonOption = None,
) -> None:
    """Say whether a claimed family or size agrees with the film: supported, in doubt or not."""
    more = {"assumed": assumed or (), "label": label, "answers": answers}
    data = read_claim(films, marks, Claimed(claim, row, size or ()), **more)
    deliver(data, json_path, show_second_reading)
