"""``evenfire visit``: one call at one boiler, from as found to the signature."""

import os
import sys
from pathlib import Path
from typing import Annotated, Final

import typer

from evenfire.delivery.cli.options import BoilerName, StorePlace, Units, terminal_width
from evenfire.delivery.cli.papers import OnPaper, OutputFile, end, paper_size
from evenfire.delivery.cli.progress import on_terminal
from evenfire.delivery.units import UnitSystem
from evenfire.errors import BadRequest

PASSPHRASE: Final = "EVENFIRE_PASSPHRASE"

visit_app = typer.Typer(
    name="visit",
    help="One call at one boiler: as found, temporary changes, trip tests, moves, as left, signature.",
    no_args_is_help=True,
    rich_markup_mode=None,
)

By = Annotated[str | None, typer.Option("--by", help="Who you are, as the store knows you.", metavar="NAME")]
VisitId = Annotated[str | None, typer.Argument(help="Beginning of its id; without it, the only one open.")]


@visit_app.command("new")
def new_visit(
    plant: Annotated[Path | None, typer.Argument(help="A plant file, taken into the store as survey.")] = None,
    boiler: BoilerName = None,
    sheet: Annotated[Path | None, typer.Option(help="Where the sheet to fill in is written.")] = None,
    by: By = None,
    store: StorePlace = None,
    units: Units = UnitSystem.US,
) -> None:
    """Open a visit at a boiler and write the sheet to fill in there."""
    from evenfire.delivery.acts import files, judging_visit, storing, visiting
    from evenfire.delivery.report.visit_text import opened_text, sheet_of

    if sheet is not None:
        files.require_new(sheet)
    with storing.opened(store) as kept:
        opened = visiting.open_visit(kept, visiting.person_named(kept, by), plant=plant, boiler=boiler)
        path = sheet or Path(f"visit-{opened.at.draft.id[:8]}.toml")
        files.write_new(path, sheet_of(judging_visit.judged(kept, opened.at), units))
        typer.echo(opened_text(opened, path, units, terminal_width()))


@visit_app.command("enter")
def enter(
    sheet: Annotated[Path, typer.Argument(help="The filled-in sheet.", show_default=False)],
    by: By = None,
    store: StorePlace = None,
    units: Units = UnitSystem.US,
) -> None:
    """Enter what a filled-in sheet changes, and see how the visit stands."""
    from evenfire.delivery.acts import storing, visiting
    from evenfire.delivery.report.visit_text import entered_text

    with storing.opened(store) as kept, on_terminal() as watch:
        entered = visiting.enter_sheet(kept, sheet, visiting.person_named(kept, by), watch)
    typer.echo(entered_text(entered, units, terminal_width()))
    raise typer.Exit(entered.judged.ending.value)


@visit_app.command("settle")
def settle(visit: VisitId = None, by: By = None, store: StorePlace = None, units: Units = UnitSystem.US) -> None:
    """Choose settings from the survey and what was read on this visit; they and their moves stand in the visit then."""
    from evenfire.delivery.acts import storing, visiting
    from evenfire.delivery.report.visit_text import settled_text

    with storing.opened(store) as kept, on_terminal() as watch:
        at = visiting.at_visit(kept, visit)
        settled = visiting.settle_visit(kept, at, visiting.person_named(kept, by), units, watch)
    typer.echo(settled_text(settled, units, terminal_width()))
    raise typer.Exit(settled.ending.value)


@visit_app.command("show")
def show(
    visit: VisitId = None,
    store: StorePlace = None,
    sheet: Annotated[
        Path | None, typer.Option(help="Write the sheet anew, as the visit stands now, to be filled in further.")
    ] = None,
    units: Units = UnitSystem.US,
    json: Annotated[bool, typer.Option("--json", help="For programs.")] = False,
) -> None:
    """Show how a visit stands: what bars signing, dials as found, proposed and left, tests; without one, all open."""
    from evenfire.delivery.acts import files, judging_visit, storing, visiting
    from evenfire.delivery.report.visit_json import visit_json
    from evenfire.delivery.report.visit_text import open_visits_text, sheet_of, visit_text

    with storing.opened(store) as kept:
        listed = () if visit is not None else visiting.open_visits(kept)
        if visit is None and len(listed) != 1:
            typer.echo(open_visits_text(listed, terminal_width()))
            return
        with on_terminal() as watch:
            judged = judging_visit.judged(kept, visiting.at_visit(kept, visit), watch)
    if sheet is not None:
        if not judged.at.draft.is_open:
            raise BadRequest("This visit is signed and takes no more entries; there is no sheet to fill in.")
        files.write_new(sheet, sheet_of(judged, units))
        typer.echo(f"Wrote {sheet}. Fill it in, then: evenfire visit enter {sheet}", err=json)
    typer.echo(visit_json(judged, units) if json else visit_text(judged, units, terminal_width()))
    raise typer.Exit(judged.ending.value)


@visit_app.command("sign")
def sign(
    visit: VisitId = None,
    by: By = None,
    store: StorePlace = None,
    passphrase_file: Annotated[
        Path | None,
        typer.Option(help=f"A file whose first line is your passphrase; without it, {PASSPHRASE}, or you are asked."),
    ] = None,
    units: Units = UnitSystem.US,
) -> None:
    """Sign a visit: its settings as left are judged and proved once more, and nothing of it changes afterwards."""
    from evenfire.delivery.acts import judging_visit, signing, storing, visiting
    from evenfire.delivery.report.visit_text import signed_text

    with storing.opened(store) as kept, on_terminal() as watch:
        person = visiting.person_named(kept, by)
        judged = judging_visit.judged(kept, visiting.at_visit(kept, visit), watch)
        signing.require_signable(judged)
        signed = signing.sign_visit(kept, judged, person, passphrase(passphrase_file, person.name), units)
    typer.echo(signed_text(signed, units, terminal_width()))


@visit_app.command("report")
def report(
    output: OutputFile,
    visit: Annotated[
        str | None,
        typer.Argument(help="Beginning of the id of a visit or of its record; without it, the only one open."),
    ] = None,
    store: StorePlace = None,
    paper: OnPaper = None,
    units: Units = UnitSystem.US,
) -> None:
    """Write the report of a visit as PDF/A: an open one as it stands, a signed one as it was signed, with amendments.

    Ends as the settings as left: 1 with a stop finding, 4 when a stop rule could not be judged; 5 when its record does
    not verify, and then nothing is written.
    """
    from evenfire.delivery.acts import storing, visit_report

    with storing.opened(store) as kept, on_terminal() as watch:
        done = visit_report.write_report(kept, visit, output, system=units, size=paper_size(paper), watch=watch)
    end(done)


@visit_app.command("amend")
def amend(
    record: Annotated[str, typer.Argument(help="Beginning of the id of the signed record.", show_default=False)],
    text: Annotated[str, typer.Option("--text", help="What is to be known beside it.")],
    by: By = None,
    store: StorePlace = None,
    passphrase_file: Annotated[Path | None, typer.Option(help="As in visit sign.")] = None,
) -> None:
    """Add a signed amendment to a signed visit; the visit itself stays as it is."""
    from evenfire.delivery.acts import signing, storing, visiting
    from evenfire.delivery.report.visit_text import amended_text

    with storing.opened(store) as kept:
        person = visiting.person_named(kept, by)
        amended = signing.amend(kept, record, text, person, passphrase(passphrase_file, person.name))
    typer.echo(amended_text(amended, terminal_width()))


def passphrase(file: Path | None, name: str, *, confirm: bool = False) -> str:
    """What opens the key of a person: from a file, the environment, or typed unseen, twice where it is a new one."""
    if file is not None:
        try:
            lines = file.read_text(encoding="utf-8").splitlines()
        except (OSError, UnicodeDecodeError) as error:
            raise BadRequest(f"{file} cannot be read, so there is no passphrase.") from error
        return lines[0] if lines else ""
    if PASSPHRASE in os.environ:
        return os.environ[PASSPHRASE]
    typed: str = typer.prompt(f"Passphrase of {name}", hide_input=True, confirmation_prompt=confirm, err=True)
    return typed


def can_be_had(file: Path | None) -> bool:
    """Whether there is a passphrase to read, or somebody to ask for one."""
    return file is not None or PASSPHRASE in os.environ or sys.stdin.isatty()
