"""``evenfire sheet`` and ``evenfire card``: the papers that are made of a plant file."""

from enum import Enum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from evenfire.delivery.cli.options import BoilerName, StorePlace, Units, settings_set
from evenfire.delivery.cli.progress import on_terminal
from evenfire.delivery.units import UnitSystem
from evenfire.errors import BadRequest

if TYPE_CHECKING:
    from evenfire.delivery.acts.papers import PaperAsked, Written
    from evenfire.delivery.papers.admission import Refusal
    from evenfire.delivery.papers.content import PaperSize


class PaperName(Enum):
    """What the paper is printed on."""

    LETTER = "letter"
    A4 = "a4"


OutputFile = Annotated[Path, typer.Option("--output", "-o", help="The PDF file to write.", show_default=False)]
PlantIfAny = Annotated[Path | None, typer.Argument(help="A plant file; without it, name a visit.")]
OfVisit = Annotated[
    str | None,
    typer.Option(
        "--visit", help="Instead of a plant file: the beginning of the id of a visit or of its record.", metavar="ID"
    ),
]
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
    output: OutputFile,
    plant: PlantIfAny = None,
    visit: OfVisit = None,
    store: StorePlace = None,
    boiler: BoilerName = None,
    settings: PaperSettings = None,
    countersigned_by: Countersigned = None,
    paper: OnPaper = None,
    units: Units = UnitSystem.US,
) -> None:
    """Write the settings sheet of a plant file or a visit: settings, stack, moves, proofs, what was not judged.

    None is written of settings that break a stop rule, unless as a record of those found, marked so. Ends as check
    does: 1 with a stop finding, 4 when a stop rule could not be judged, written or not.
    """
    from evenfire.delivery.acts import papers, storing, visit_papers

    asked = _asked(boiler, settings, countersigned_by, paper, units)
    of_file = _one_of(plant, visit, boiler)
    if of_file is not None:
        with on_terminal() as watch:
            done = papers.write_sheet(of_file, output, asked, watch)
    else:
        with storing.opened(store) as kept, on_terminal() as watch:
            done = visit_papers.write_visit_sheet(kept, visit or "", output, asked, watch)
    end(done)


def card(
    output: OutputFile,
    plant: PlantIfAny = None,
    visit: OfVisit = None,
    store: StorePlace = None,
    boiler: BoilerName = None,
    settings: PaperSettings = None,
    countersigned_by: Countersigned = None,
    paper: OnPaper = None,
    units: Units = UnitSystem.US,
) -> None:
    """Write the operator card of a plant file or a visit: one page with every pressure, and what to do at a trip.

    None is written of settings that break a stop rule. Ends as check does.
    """
    from evenfire.delivery.acts import papers, storing, visit_papers

    asked = _asked(boiler, settings, countersigned_by, paper, units)
    of_file = _one_of(plant, visit, boiler)
    if of_file is not None:
        with on_terminal() as watch:
            done = papers.write_card(of_file, output, asked, watch)
    else:
        with storing.opened(store) as kept, on_terminal() as watch:
            done = visit_papers.write_visit_card(kept, visit or "", output, asked, watch)
    end(done)


def _one_of(plant: Path | None, visit: str | None, boiler: str | None) -> Path | None:
    """The plant file that is meant; nothing where it is a visit."""
    if (plant is None) == (visit is None):
        raise BadRequest("Name a plant file, or a visit of the store with --visit ID: one of the two.")
    if visit is not None and boiler is not None:
        raise BadRequest("A visit is at one boiler; leave --boiler away.")
    return plant


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
