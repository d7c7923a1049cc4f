"""`radiofixture cases …` and `record`: what the app keeps, from a command line.

Heavy imports stand inside the commands, so that `--help` answers at once.
"""
# ruff: noqa: PLC0415 - see above

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from identify.cli_output import JsonOption, deliver, write_bytes

if TYPE_CHECKING:
    from features.radiograph import Radiograph
    from identify.casebook import Casebook
    from identify.kept_case import ImplantWork, KeptCase
    from identify.knowledge import Notes
    from identify.printed import Paper
    from identify.sheet import Sheet

cases_app = typer.Typer(rich_markup_mode=None, help="The casebook: every case the app has kept.")
Key = Annotated[str, typer.Argument(metavar="CASE", help="The key `cases list` shows.")]


@cases_app.command("list")
def cases_list(
    words: Annotated[str, typer.Argument(help="Only cases in which all these words occur.")] = "",
    json_path: JsonOption = None,
) -> None:
    """List the cases, the last changed first."""
    from identify.casebook import Casebook

    found = [
        {
            "key": saved.key,
            "pseudonym": saved.case.pseudonym,
            "teeth": list(saved.case.teeth),
            "status": saved.case.status,
            "changed_utc": saved.step.at,
            "films": [film.name for film in saved.case.films],
        }
        for saved in Casebook().find(words)
    ]
    deliver({"radiofixture": "cases/1", "cases": found}, json_path, _show_cases)


def _show_cases(data: dict[str, Any]) -> None:
    from identify.kept_case import NO_FILM

    for case in data["cases"]:
        what = case["pseudonym"] or ", ".join(case["films"]) or NO_FILM
        teeth = ", ".join(case["teeth"]) or "–"
        typer.echo(f"{case['key']}  {case['changed_utc'][:16]}  {teeth}  {case['status']}  {what}")
    if not data["cases"]:
        typer.echo("No case found.")


@cases_app.command("export")
def cases_export(key: Key, out: Annotated[Path, typer.Option(help="The zip to write.")]) -> None:
    """Write CASE with its films and history as one zip."""
    from identify.casebook import Casebook
    from identify.casefile import export_case

    book = Casebook()
    write_bytes(export_case(book, book.load(key).key), out)
    typer.echo(f"Written: {out}")


@cases_app.command("import")
def cases_import(
    file: Annotated[Path, typer.Argument(metavar="ZIP", help="An exported case.")],
) -> None:
    """Take an exported case into the casebook."""
    from identify.casebook import Casebook
    from identify.casefile import import_case

    typer.echo(import_case(Casebook(), _read(file), str(file)))


@cases_app.command("delete")
def cases_delete(
    key: Key,
    sure: Annotated[bool, typer.Option("--yes", help="Really delete it.")] = False,  # noqa: FBT002 - a switch
) -> None:
    """Delete CASE, its history and its films for good."""
    from features.input_file import BadInput
    from identify.casebook import Casebook

    book = Casebook()
    book.load(key)
    if not sure:
        raise BadInput(f"case {key} would be gone for good; add '--yes' if that is meant.")
    book.delete(key)
    typer.echo("Deleted.")


@cases_app.command("backup")
def cases_backup(out: Annotated[Path, typer.Option(help="An empty or new folder.")]) -> None:
    """Copy the whole casebook, films and all, into a folder."""
    from identify.backup import back_up

    typer.echo(f"{back_up(out)} cases copied to {out}")


def record(
    case: Annotated[
        str,
        typer.Argument(
            metavar="CASE", help="A case's key, an exported zip, or an evidence file of answers."
        ),
    ],
    out: Annotated[Path, typer.Option(help="The PDF to write.")],
    letter: Annotated[bool, typer.Option("--letter", help="US Letter instead of A4.")] = False,  # noqa: FBT002 - a switch
    json_path: JsonOption = None,
) -> None:
    """Write the record of CASE as a PDF."""
    from identify.knowledge import load_notes
    from identify.notes_version import notes_version
    from identify.record_pdf import record_data, record_pdf
    from identify.sheets import kept_sheets

    film, kept = _film_of(case)
    notes = load_notes()
    date = dt.datetime.now().astimezone().strftime("%d %B %Y, %H:%M")
    sheets = kept_sheets(film, kept, notes, date, _typed(kept.work))
    planned = _planned(kept, sheets, notes)
    version = notes_version()
    paper: Paper = "us-letter" if letter else "a4"
    pdf = record_pdf(sheets, notes.checklist, plan=planned, notes_version=version, paper=paper)
    write_bytes(pdf, out)
    data = record_data(sheets, notes.checklist, planned, notes_version=version)
    deliver(data, json_path, lambda _: typer.echo(f"Written: {out}"))


def _planned(kept: KeptCase, sheets: list[Sheet], notes: Notes) -> dict[str, Any] | None:
    from features.input_file import BadInput
    from identify.sheets import kept_plan

    try:
        return kept_plan(kept, sheets, notes)
    except BadInput as error:  # the record is worth having all the same
        typer.echo(f"The record carries no plan. {error}", err=True)
        return None


def _typed(work: ImplantWork) -> dict[str, str]:
    from identify.record import TYPED

    return {label: str(work.facts.get(label) or "") for label in TYPED}


def _film_of(case: str) -> tuple[Radiograph | None, KeptCase]:
    import tempfile

    from identify.casebook import Casebook
    from identify.casefile import import_case
    from identify.evidence import load_evidence
    from identify.kept_case import case_of_answers

    if not Path(case).is_file():
        return _kept_film(Casebook(), case)
    if case.endswith(".json"):
        return None, case_of_answers(load_evidence(Path(case)), case)
    with tempfile.TemporaryDirectory() as folder:  # a zip is printed without being taken in
        book = Casebook(Path(folder))
        return _kept_film(book, import_case(book, _read(Path(case)), case))


def _kept_film(book: Casebook, key: str) -> tuple[Radiograph | None, KeptCase]:
    from features.film import inverted
    from identify.kept_case import FilmWork

    kept = book.load(key).case
    work = kept.work
    if not isinstance(work, FilmWork):
        return None, kept
    film = book.films.get(work.film)
    return (inverted(film) if work.turned else film), kept


def _read(path: Path) -> bytes:
    from features.input_file import BadInput

    try:
        return path.read_bytes()
    except OSError as error:
        raise BadInput(f"{path}: cannot be read ({error.strerror}); check the path.") from None
