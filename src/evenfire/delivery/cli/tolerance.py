"""``evenfire odds`` and ``evenfire measure``: what dials that are off and a survey that is off may come to."""

from typing import Annotated, Final

import typer

from evenfire.delivery.cli.options import BoilerName, PlantPath, SettingsName, Units, settings_set, terminal_width
from evenfire.delivery.cli.progress import on_terminal
from evenfire.delivery.units import UnitSystem

MOST_DRAWS: Final = 100_000_000
MOST_RERUNS: Final = 100_000


def odds(
    plant: PlantPath,
    boiler: BoilerName = None,
    settings: SettingsName = None,
    draws: Annotated[
        int | None,
        typer.Option(
            help="How often dials, drift and valves are drawn; without it, a million times.", min=1, max=MOST_DRAWS
        ),
    ] = None,
    reruns: Annotated[
        int | None,
        typer.Option(
            help="Draws near a limit that are run in motion, for each question; without it, up to 400.",
            min=0,
            max=MOST_RERUNS,
        ),
    ] = None,
    seed: Annotated[int, typer.Option(help="The same seed draws the same numbers.", min=0)] = 1,
    threads: Annotated[
        int | None, typer.Option(help="Changes no digit; without it, as many as can work at once.", min=1, max=256)
    ] = None,
    units: Units = UnitSystem.US,
    json: Annotated[bool, typer.Option("--json", help="For programs.")] = False,
) -> None:
    """Count how likely it is, in a year of drift, that a limit trips for nothing or a safety valve lifts.

    Ctrl-C stops it and shows what was counted until then. Ends with 0 when no lift of a safety valve is likely, 1 when
    one is, 4 when something could not be counted or it was stopped.
    """
    from evenfire.delivery.acts import odds as counting

    asked = counting.OddsAsked(
        boiler=boiler,
        settings=settings_set(settings),
        draws=counting.DRAWS if draws is None else draws,
        most_reruns=counting.RERUNS if reruns is None else reruns,
        seed=seed,
        threads=threads or counting.processors(),
    )
    with on_terminal() as watch:
        done = counting.odds_plant(plant, asked, watch)
    if json:
        from evenfire.delivery.report.odds_json import odds_json

        typer.echo(odds_json(done, units))
    else:
        from evenfire.delivery.report.odds_text import odds_text

        typer.echo(odds_text(done, units, terminal_width()))
    raise typer.Exit(done.ending.value)


def measure(
    plant: PlantPath,
    boiler: BoilerName = None,
    settings: SettingsName = None,
    units: Units = UnitSystem.US,
    json: Annotated[bool, typer.Option("--json", help="For programs.")] = False,
    every: Annotated[bool, typer.Option("--every", help="Show every value that moves a margin.")] = False,
) -> None:
    """Say which one measurement would help most, and which surveyed value each margin hangs on.

    Ends with 0 when every margin could be weighed, 4 when one could not; it judges none of them.
    """
    from evenfire.delivery.acts import measuring

    asked = measuring.MeasureAsked(boiler=boiler, settings=settings_set(settings))
    with on_terminal() as watch:
        done = measuring.measure_plant(plant, asked, watch)
    if json:
        from evenfire.delivery.report.measure_json import measure_json

        typer.echo(measure_json(done, units))
    else:
        from evenfire.delivery.report.measure_text import measure_text

        typer.echo(measure_text(done, units, terminal_width(), every=every))
    raise typer.Exit(done.ending.value)
