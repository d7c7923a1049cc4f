"""`radiofixture …`: the same functions as the app, from a command line.

Exit codes: 0 done; 1 internal fault; 2 bad input; 3 finished, but some items failed.
Heavy imports stand inside the commands, so that `--help` answers at once.
"""
# ruff: noqa: PLC0415 - see above

from __future__ import annotations

import os
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from identify.cli_casebook import cases_app, record
from identify.cli_output import BAD_INPUT, SOME_FAILED, JsonOption, deliver, one_line
from identify.cli_second import second_reading_command
from identify.cli_shelf import shelf_app

if TYPE_CHECKING:
    from features.reading import ImplantReading, Reading
    from identify.evidence import Evidence, Item
    from identify.knowledge import Notes

FAULT = 1
# by name: importing the modules that define them would make `--help` slow
REFUSALS = frozenset({"BadInput", "BadNote", "UnreadableFilm"})

app = typer.Typer(
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    help="Read an unknown dental implant on a periapical film and weigh which family it is. "
    "It measures and gives reasons; it does not diagnose, and no part may be ordered on it.",
)
notes_app = typer.Typer(rich_markup_mode=None, help="The notes on families (reference_notes).")
app.add_typer(notes_app, name="notes")
app.add_typer(shelf_app, name="shelf")
app.add_typer(cases_app, name="cases")
app.command()(record)
app.command("second-reading")(second_reading_command)


def main() -> None:
    """Run the command line and leave with its exit code."""
    sys.exit(run(sys.argv[1:]))


def run(arguments: Sequence[str]) -> int:
    """Run one command; every failure is one line on standard error."""
    try:
        code = app(args=list(arguments), prog_name="radiofixture", standalone_mode=False)
    except BrokenPipeError:
        # the reader went away (`| head`); give the rest to nobody, or Python complains on leaving
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return FAULT
    except Exception as error:
        if os.environ.get("RADIOFIXTURE_DEBUG"):
            raise
        return _complain(error)
    return code if isinstance(code, int) else 0


def _complain(error: Exception) -> int:
    usage = getattr(error, "format_message", None)
    if usage is not None:
        return one_line(f"{usage().rstrip('.')}; see {_help_command(error)}.", BAD_INPUT)
    if REFUSALS & {kind.__name__ for kind in type(error).__mro__}:
        return one_line(str(error), BAD_INPUT)
    what = f"{type(error).__name__}: {error}".rstrip(": ")
    return one_line(f"internal fault ({what}); set RADIOFIXTURE_DEBUG=1 to see where.", FAULT)


def _help_command(error: Exception) -> str:
    context = getattr(error, "ctx", None)
    return f"{context.command_path if context else 'radiofixture'} --help"


@app.callback(invoke_without_command=True)
def _without_command(context: typer.Context) -> None:
    if context.invoked_subcommand is None:
        typer.echo(context.get_help())


@app.command()
def read(
    film: Annotated[
        Path, typer.Argument(metavar="FILM", help="A periapical film: DICOM, PNG, TIFF, JPEG …")
    ],
    marks: Annotated[Path | None, typer.Option(help="Its marks file.")] = None,
    answers: Annotated[
        list[Path] | None,
        typer.Option(help="What a person saw, felt or knows (an evidence file); one a person."),
    ] = None,
    json_path: JsonOption = None,
) -> int:
    """Measure every marked implant on FILM and rank the families."""
    from features.film import read_film_file
    from features.input_file import BadInput
    from features.marks import load_marks
    from features.reading import read_film
    from identify.cli_tables import show_reading
    from identify.knowledge import load_notes

    radiograph = read_film_file(film)
    if marks is None:
        raise BadInput(
            f"'--marks' is missing: {film} can only be read where platform and apex are marked; "
            f"mark it with 'radiofixture app {film}' and save the marks."
        )
    placed = load_marks(marks, width=radiograph.width, height=radiograph.height)
    given = _answers(answers or [], [implant.label for implant in placed.implants])
    reading = read_film(radiograph, placed)
    data = _reading_json(reading, given, load_notes())
    deliver(data, json_path, show_reading)
    return _report_unmeasured(reading)


def _answers(paths: Sequence[Path], labels: Sequence[str]) -> dict[str, Mapping[str, Item]]:
    from features.input_file import BadInput
    from identify.evidence import load_evidence
    from identify.gathering import merge_answers

    given: dict[str, Mapping[str, Item]] = {}
    for path in paths:
        evidence = load_evidence(path)
        label = evidence.label or (labels[0] if len(labels) == 1 else "")
        if label not in labels:
            raise BadInput(
                f"{path}: its 'label' is {evidence.label!r}; give each answers file the label of "
                f"one implant on this film ({', '.join(labels)})."
            )
        given[label] = merge_answers(given.get(label, {}), evidence.items)
    return given


def _reading_json(
    reading: Reading, answers: Mapping[str, Mapping[str, Item]], notes: Notes
) -> dict[str, Any]:
    from identify.gathering import gather

    data = reading.to_json()
    for implant, read in zip(data["implants"], reading.implants, strict=True):
        evidence = gather(reading, read.label, answers.get(read.label, {}), notes.checklist)
        implant["axis_deg"] = read.axis_deg.to_json()
        implant.update(_weighing_json(evidence, notes, rows=False))
    return data


def _weighing_json(evidence: Evidence, notes: Notes, *, rows: bool) -> dict[str, Any]:
    from identify.contradiction import disagreements
    from identify.next_look import next_looks
    from identify.weigh import weigh as weigh_evidence

    ranking = weigh_evidence(evidence, notes)
    looks = next_looks(evidence, notes, ranking)
    return ranking.to_json(rows=rows) | {
        "next_look": [look.to_json() for look in looks],
        "answers_differ": list(disagreements(evidence, notes)),
    }


def _report_unmeasured(reading: Reading) -> int:
    bare = [implant.label for implant in reading.implants if not _measured(implant)]
    if not bare:
        return 0
    return one_line(
        f"nothing could be measured on implant {', '.join(bare)}; check its marks on the film.",
        SOME_FAILED,
    )


def _measured(implant: ImplantReading) -> bool:
    return any(bool(quantity) for quantity in implant.measures.values())


@app.command()
def weigh(
    evidence: Annotated[Path, typer.Argument(metavar="EVIDENCE", help="An evidence file.")],
    json_path: JsonOption = None,
) -> None:
    """Weigh EVIDENCE against every family, with the points and a sentence for each item."""
    from identify.cli_tables import show_weighing
    from identify.evidence import check_evidence, load_evidence
    from identify.knowledge import load_notes

    notes, given = load_notes(), load_evidence(evidence)
    check_evidence(given, notes.checklist, str(evidence))
    head = {"radiofixture": "weighing/1", "label": given.label}
    deliver(head | _weighing_json(given, notes, rows=True), json_path, show_weighing)


@app.command()
def restore(
    case: Annotated[Path, typer.Argument(help="A case file: family and what is known.")],
    reading: Annotated[
        list[Path] | None,
        typer.Option(help="A reading (JSON) of a film of the same arch; as often as needed."),
    ] = None,
    json_path: JsonOption = None,
) -> None:
    """Say what can be built on the implants of CASE, with reasons and cautions."""
    from identify.cli_restore import restore_case, show

    deliver(restore_case(case, reading or []), json_path, show)


@app.command()
def simulate(  # noqa: PLR0913, PLR0917 - one parameter an option
    out: Annotated[Path, typer.Option(help="Folder to write films, marks and truth into.")],
    family: Annotated[
        str | None, typer.Option(help="Key of a family; or strangers, or no_implant.")
    ] = None,
    seed: Annotated[int, typer.Option(min=0, help="Seed of the first film.")] = 0,
    level: Annotated[str, typer.Option(help="clean, clinical or hard.")] = "clinical",
    number: Annotated[
        int | None,
        typer.Option("--set", min=1, help="This many films, families in turn; goes on if stopped."),
    ] = None,
    kind: Annotated[
        str, typer.Option("--as", help="png16, png8, jpeg, dicom or phone (photo of a screen).")
    ] = "png16",
    scale: Annotated[str, typer.Option(help="ball, line, pixel or none.")] = "ball",
    stress: Annotated[bool, typer.Option("--stress", help="Shift and widen all ranges.")] = False,  # noqa: FBT002 - a switch
    json_path: JsonOption = None,
) -> int:
    """Draw simulated films with exact truth; the same seed draws the same film."""
    from identify.cli_simulate import FilmOrder, draw_films
    from identify.cli_tables import show_films

    if family is None and number is None:
        raise typer.BadParameter("give '--family KEY', or '--set N' for families in turn")
    wanted = FilmOrder(family, seed, level, number or 1, kind, scale, stress)
    films, failed = draw_films(wanted, out, progress=str(json_path) != "-")
    data = {"radiofixture": "films/1", "films": films, "failed": failed}
    deliver(data, json_path, show_films)
    if not failed:
        return 0
    first = failed[0]
    return one_line(
        f"{len(failed)} of {len(films) + len(failed)} films could not be drawn; the first is "
        f"{first['film']}: {first['reason']}",
        SOME_FAILED,
    )


@notes_app.command("check")
def notes_check(
    folder: Annotated[Path | None, typer.Option(help="Another folder of the same make.")] = None,
    json_path: JsonOption = None,
) -> int:
    """Check every note: known keys, standings, sources, sums and look-alikes."""
    from identify.cli_tables import show_notes
    from identify.knowledge import check_notes, load_notes

    problems = check_notes(folder)
    families = [] if problems else sorted(load_notes(folder).families)
    data = {"radiofixture": "notes/1", "families": families, "problems": problems}
    deliver(data, json_path, show_notes)
    if not problems:
        return 0
    return one_line(f"{len(problems)} to put right in the notes; see the list.", BAD_INPUT)


@app.command("app")
def open_app(
    film: Annotated[Path | None, typer.Argument(metavar="[FILM]", help="A film to open.")] = None,
    port: Annotated[int | None, typer.Option(min=1, max=65535, help="Port on 127.0.0.1.")] = None,
    browser: Annotated[bool, typer.Option("--browser", help="Open the browser.")] = False,  # noqa: FBT002 - a switch
) -> None:
    """Start the app on this computer only (127.0.0.1)."""
    from identify.launch import launch

    launch(film, port=port, browser=browser)


if __name__ == "__main__":
    main()
