"""``evenfire sheet`` and ``evenfire card``: the papers that are made of a plant file."""

from enum import Enum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from evenfire.delivery.cli.options import BoilerName, PlantPath, Units, settings_set
from evenfire.delivery.cli.progress import on_terminal
from evenfire.delivery.units import UnitSystem

if TYPE_CHECKING:
    from evenfire.delivery.acts.papers import PaperAsked, Written
    from evenfire.delivery.papers.admission import Refusal
    from evenfire.delivery.papers.content import PaperSize


class PaperName(Enum):
    """What the paper is printed on."""

    LETTER = "letter"
    A4 = "a4"


OutputFile = Annotated[Path, typer.Option("--output", "-o", help="The PDF file to write.", show_default=False)]
PaperSettings = Annotated[
    str | None,
    typer.Option(
        "--settings",
        help="as-found, proposed or as-left; without it those left, else those proposed, else those found.",
        metavar="SET",
    ),
]
OnPaper = Annotated[PaperName | None, typer.Option("--paper", help="Without it letter for us units, a4 for si.")]
Countersigned = Annotated[
    str | None,
    typer.Option(
        "--countersigned-by",
        help='"NAME, LICENCE" of whoever answers for stop rules that could not be judged; each is listed.',
        metavar="TEXT",
    ),
]


def sheet(
    plant: PlantPath,
    output: OutputFile,
    boiler: BoilerName = None,
    settings: PaperSettings = None,
    countersigned_by: Countersigned = None,
    paper: OnPaper = None,
    units: Units = UnitSystem.US,
) -> None:
    """Write the settings sheet of a boiler: settings, pressure stack, moves, proofs, what was not judged.

    None is written of settings that break a stop rule, unless as a record of those found, marked so. Ends as check
    does: 1 with a stop finding, 4 when a stop rule could not be judged, written or not.
    """
    from evenfire.delivery.acts import papers

    with on_terminal() as watch:
        done = papers.write_sheet(plant, output, _asked(boiler, settings, countersigned_by, paper, units), watch)
    end(done)


def card(
    plant: PlantPath,
    output: OutputFile,
    boiler: BoilerName = None,
    settings: PaperSettings = None,
    countersigned_by: Countersigned = None,
    paper: OnPaper = None,
    units: Units = UnitSystem.US,
) -> None:
    """Write the operator card of a boiler: one page with every pressure, and what to do when the high limit acts.

    None is written of settings that break a stop rule. Ends as check does.
    """
    from evenfire.delivery.acts import papers

    with on_terminal() as watch:
        done = papers.write_card(plant, output, _asked(boiler, settings, countersigned_by, paper, units), watch)
    end(done)


def _asked(
    boiler: str | None, settings: str | None, countersigned_by: str | None, paper: PaperName | None, units: UnitSystem
) -> "PaperAsked":
    from evenfire.delivery.acts.papers import PaperAsked

    return PaperAsked(
        boiler=boiler,
        settings=settings_set(settings),
        system=units,
        size=paper_size(paper),
        countersigned_by=countersigned_by,
    )


def paper_size(paper: PaperName | None) -> "PaperSize | None":
    """What was asked for, as the printer has it."""
    from evenfire.delivery.papers.content import PaperSize

    return None if paper is None else PaperSize(paper.value)


def end(done: "Written | Refusal") -> None:
    """Say what was done or why not; the exit code tells of the settings either way."""
    from evenfire.delivery.papers.admission import Refusal

    if isinstance(done, Refusal):
        typer.echo(f"evenfire: {done.why}", err=True)
    else:
        typer.echo(done.told)
    raise typer.Exit(done.ending.value)
