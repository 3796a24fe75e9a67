"""Arguments and options that several commands share."""

import os
import shutil
from pathlib import Path
from typing import Annotated, Final

import typer

from evenfire.delivery.units import UnitSystem
from evenfire.errors import BadRequest
from evenfire.judgement.case import SettingsSet

NARROWEST: Final = 44
"""A phone's terminal [characters]."""
WIDEST: Final = 100
"""Longer lines are hard to read [characters]."""

SETTINGS_NAMES = {
    "as-found": SettingsSet.AS_FOUND,
    "proposed": SettingsSet.PROPOSED,
    "as-left": SettingsSet.AS_LEFT,
}

PlantPath = Annotated[Path, typer.Argument(help="A plant file.", show_default=False)]
Units = Annotated[UnitSystem, typer.Option(help="Units of the answer.")]
BoilerName = Annotated[str | None, typer.Option(help="Which boiler, where the file has several.")]
StorePlace = Annotated[
    str | None,
    typer.Option("--store", help="Path or URL of the store; without it, EVENFIRE_STORE or your own.", metavar="PLACE"),
]
SettingsName = Annotated[
    str | None,
    typer.Option(
        "--settings", help="as-found, proposed or as-left; without it, those that a person read last.", metavar="SET"
    ),
]

FuelName = Annotated[
    str | None, typer.Option("--fuel", help="Which fuel, where the burner has several; without it, the first.")
]
Hours = Annotated[float, typer.Option("--hours", help="How long to run; the run begins at 00:00.", metavar="HOURS")]
LoadText = Annotated[
    str | None,
    typer.Option(
        "--load",
        help='Instead of the load in the plant file: "4000 lb/h", "35 %" of the output, or a recording, load.csv.',
        metavar="TEXT",
    ),
]
StartText = Annotated[
    str | None,
    typer.Option("--start", help='"cold", or a gauge pressure such as "110 psi"; without it, at work.', metavar="TEXT"),
]
FaultTexts = Annotated[
    list[str] | None,
    typer.Option(
        "--fault",
        help='What breaks and when: "operating limit welded @ 2h", "high limit drifts +6 psi @ 0h", "power off for '
        '10 s @ 5h". May be given again. A wrong one is answered with all forms.',
        metavar="TEXT",
    ),
]
ScenarioNames = Annotated[
    list[str] | None,
    typer.Option(
        "--scenario",
        help='Only this one: "high limit alone", "steady loads", "day"... May be given again. A wrong one is answered '
        "with all of them.",
        metavar="NAME",
    ),
]
ResetTexts = Annotated[
    list[str] | None,
    typer.Option(
        "--reset", help='When a hand presses every reset: "14h" or "14:30". May be given again.', metavar="TIME"
    ),
]


def settings_set(name: str | None) -> SettingsSet | None:
    """The set of settings of that name."""
    if name is None:
        return None
    if name not in SETTINGS_NAMES:
        raise BadRequest(f"--settings {name!r} is none of {', '.join(SETTINGS_NAMES)}.")
    return SETTINGS_NAMES[name]


def terminal_width() -> int:
    """Columns to write for; a set COLUMNS wins, so that a script gets the same text everywhere."""
    columns = os.environ.get("COLUMNS", "")
    width = int(columns) if columns.isdigit() else shutil.get_terminal_size((80, 24)).columns
    return max(NARROWEST, min(WIDEST, width))
