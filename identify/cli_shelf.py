"""`radiofixture shelf …`: the practice's own systems, from files and into files.

Heavy imports stand inside the commands, so that `--help` answers at once.
"""
# ruff: noqa: PLC0415 - see above

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from identify.cli_output import BAD_INPUT, JsonOption, deliver, one_line, write_text

if TYPE_CHECKING:
    from identify.knowledge import Notes
    from identify.shelf_change import Change

shelf_app = typer.Typer(
    rich_markup_mode=None, help="The practice's own systems: sizes, and the parts to be had."
)


@shelf_app.command("import")
def shelf_import(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A shelf file, CSV or TOML.")],
    replace: Annotated[  # noqa: FBT002 - a switch
        bool, typer.Option("--replace", help="Leave nothing on the shelf but what FILE holds.")
    ] = False,
    check: Annotated[  # noqa: FBT002 - a switch
        bool, typer.Option("--check", help="Only say what would change; store nothing.")
    ] = False,
    json_path: JsonOption = None,
) -> int:
    """Take FILE onto the shelf: all of it or, where a row is wrong, nothing."""
    from identify.knowledge import load_notes
    from identify.shelf_change import plan_change
    from identify.shelf_file import load_shelf_file
    from identify.shelf_store import import_shelf, load_shelf

    read = load_shelf_file(file, load_notes())
    change = (
        plan_change(load_shelf(), read, replace=replace)
        if check
        else import_shelf(read, replace=replace)
    )
    deliver(_import_json(change, stored=not check), json_path, _show_import)
    if not change.problems:
        return 0
    return one_line(
        f"{file}: {len(change.problems)} to put right, and nothing was taken over; the first is "
        f"{change.problems[0]}",
        BAD_INPUT,
    )


def _import_json(change: Change, *, stored: bool) -> dict[str, Any]:
    return {
        "radiofixture": "shelf-import/1",
        "stored": stored and not change.problems,
        "new": change.new,
        "changed": change.changed,
        "same": change.same,
        "removed": change.removed,
        "problems": [{"where": p.where, "sentence": p.sentence} for p in change.problems],
    }


def _show_import(data: dict[str, Any]) -> None:
    for problem in data["problems"]:
        typer.echo(f"{problem['where']}: {problem['sentence']}")
    if not data["problems"]:
        counts = ", ".join(f"{data[key]} {key}" for key in ("new", "changed", "same", "removed"))
        typer.echo(f"{'On the shelf' if data['stored'] else 'Would be'}: {counts}.")


@shelf_app.command("export")
def shelf_export(
    file: Annotated[
        Path, typer.Argument(metavar="FILE", help="TOML where the name ends so, else CSV.")
    ],
) -> None:
    """Write the whole shelf into FILE, so that it can be read back."""
    from identify.shelf_file import shelf_text
    from identify.shelf_store import load_shelf

    shelf = load_shelf()
    write_text(shelf_text(shelf, file.name), file)
    typer.echo(f"{len(shelf.sizes)} sizes and {len(shelf.parts)} parts written to {file}.")


@shelf_app.command("match")
def shelf_match(
    evidence: Annotated[Path, typer.Argument(metavar="EVIDENCE", help="An evidence file.")],
    family: Annotated[
        str | None, typer.Option(help="Key of the family taken as given; the likeliest if not.")
    ] = None,
    json_path: JsonOption = None,
) -> None:
    """Say which size on the shelf fits what EVIDENCE says, once its family is taken as given."""
    from identify.cli_tables import show_sizes
    from identify.evidence import check_evidence, load_evidence
    from identify.knowledge import load_notes
    from identify.shelf_store import load_shelf
    from identify.shelf_words import match_sentence
    from identify.size_match import match_sizes
    from identify.weigh import weigh

    notes, given, shelf = load_notes(), load_evidence(evidence), load_shelf()
    check_evidence(given, notes.checklist, str(evidence))
    key = _family_key(family, notes) if family else weigh(given, notes).families[0].key
    matched = match_sizes(given, notes, shelf, key)
    sentence = match_sentence(matched, shelf, notes.families[key].title)
    deliver(matched.to_json() | {"sentence": sentence}, json_path, show_sizes)


def _family_key(named: str, notes: Notes) -> str:
    from features.input_file import BadInput

    if named in notes.families:
        return named
    raise BadInput(
        f"'--family' is '{named}', which no note describes; use one of {', '.join(notes.families)}."
    )


@shelf_app.command("parts")
def shelf_parts(
    family: Annotated[str, typer.Option(help="Key of a family.")],
    platform: Annotated[float | None, typer.Option(help="Platform width in mm.")] = None,
    json_path: JsonOption = None,
) -> None:
    """List the parts on the shelf for a family and platform, what is at hand first."""
    from identify.cli_tables import show_parts
    from identify.knowledge import load_notes
    from identify.shelf import parts_for
    from identify.shelf_store import load_shelf

    notes = load_notes()
    parts = parts_for(load_shelf(), _family_key(family, notes), platform)
    rows = [part.model_dump(mode="json") for part in parts]
    deliver({"radiofixture": "parts/1", "parts": rows}, json_path, show_parts)
