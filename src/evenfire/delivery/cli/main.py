"""``evenfire``: the commands, and the one place where an error becomes a sentence and an exit code."""

import os
import sys
import tempfile
import traceback
from pathlib import Path
from typing import Annotated, Final

import typer

from evenfire import __version__
from evenfire.delivery.acts import checking, files
from evenfire.delivery.cli import due, papers, tolerance
from evenfire.delivery.cli.options import (
    BoilerName,
    FaultTexts,
    FuelName,
    Hours,
    LoadText,
    PlantPath,
    ResetTexts,
    ScenarioNames,
    SettingsName,
    StartText,
    Units,
    settings_set,
    terminal_width,
)
from evenfire.delivery.cli.progress import on_terminal
from evenfire.delivery.cli.read import read
from evenfire.delivery.cli.store import store_app
from evenfire.delivery.cli.verify import verify
from evenfire.delivery.cli.visit import visit_app
from evenfire.delivery.units import UnitSystem
from evenfire.errors import BadInput, EvenfireError

BAD_INPUT: Final = 2
PROGRAM_ERROR: Final = 70

app = typer.Typer(
    name="evenfire",
    help="Settings for the pressure controls of a steam boiler: judged as found, chosen together, shown to hold.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)


@app.command()
def demo(
    folder: Annotated[Path, typer.Argument(help="Where the demo plants are written.")] = Path("evenfire-demo"),
    units: Units = UnitSystem.US,
) -> None:
    """Write the demo plants, judge the laundry as found, settle it, and draw its pressure stack."""
    from evenfire.delivery.cli.demo import demo_text

    typer.echo(demo_text(folder, units, terminal_width()))


@app.command()
def new(
    file: Annotated[Path, typer.Argument(help="The plant file to write; an existing file is never touched.")],
) -> None:
    """Write a commented plant file to fill in at the boiler."""
    from evenfire.delivery.intake.template import new_plant_file

    files.write_new(file, new_plant_file())
    typer.echo(f"Wrote {file}. Fill in what you can see; leave the rest out. Then: evenfire check {file}")


@app.command()
def check(
    plant: PlantPath,
    settings: SettingsName = None,
    units: Units = UnitSystem.US,
    json: Annotated[bool, typer.Option("--json", help="For programs.")] = False,
    every: Annotated[bool, typer.Option("--every", help="Show every rule that is clear, with its margin.")] = False,
) -> None:
    """Judge the settings of every boiler in a plant file, worst first."""
    done = checking.check(plant, settings_set(settings))
    if json:
        from evenfire.delivery.report.check_json import check_json

        typer.echo(check_json(done, units))
    else:
        from evenfire.delivery.report.check_text import check_text

        typer.echo(check_text(done, units, terminal_width(), every=every))
    raise typer.Exit(done.ending.value)


@app.command()
def settle(
    plant: PlantPath,
    target: Annotated[
        str | None,
        typer.Option(help='Hold this pressure instead of the need: "115 psi", "+5 psi" or "+1 division".'),
    ] = None,
    write: Annotated[bool, typer.Option("--write", help="Write the proposal into the plant file.")] = False,
    without_motion: Annotated[
        bool, typer.Option("--without-motion", help="By closed forms alone: nothing is simulated, nothing proved.")
    ] = False,
    units: Units = UnitSystem.US,
    json: Annotated[bool, typer.Option("--json", help="For programs.")] = False,
) -> None:
    """Choose settings for all controls of each boiler together, shown in motion, with the moves; or say why not."""
    from evenfire.delivery.acts import settling

    with on_terminal() as watch:
        done = settling.settle(plant, target, units, in_motion=not without_motion, watch=watch)
    if json:
        from evenfire.delivery.report.settle_json import settle_json

        typer.echo(settle_json(done, units))
    else:
        from evenfire.delivery.report.settle_text import settle_text

        typer.echo(settle_text(done, units, terminal_width()))
    if write:
        written = settling.write_proposals(done, units)
        told = (
            f"Wrote the proposal for {', '.join(written)} into {plant}."
            if written
            else "Wrote nothing: nothing fits, or not all of it holds in motion."
        )
        typer.echo(told, err=True)
    raise typer.Exit(done.ending.value)


@app.command()
def stack(
    plant: PlantPath,
    output: Annotated[Path | None, typer.Option("--output", "-o", help="An .svg file; without it, text.")] = None,
    boiler: BoilerName = None,
    units: Units = UnitSystem.US,
    width: Annotated[int, typer.Option(help="Of the drawing, in pixels; 360 fits a phone.", min=320, max=2000)] = 720,
) -> None:
    """Draw the pressure stack of a boiler: every pressure on one scale, as found beside proposed."""
    from evenfire.delivery.acts.drawing import stack_drawing, stack_in_words

    if output is None:
        typer.echo(stack_in_words(plant, boiler, units, terminal_width()))
        return
    files.write_whole(output, stack_drawing(plant, boiler, units, width))
    typer.echo(f"Wrote {output}.")


@app.command("run")
def run_boiler(
    plant: PlantPath,
    boiler: BoilerName = None,
    settings: SettingsName = None,
    fuel: FuelName = None,
    hours: Hours = 24.0,
    load: LoadText = None,
    start: StartText = None,
    fault: FaultTexts = None,
    reset: ResetTexts = None,
    plot: Annotated[Path | None, typer.Option(help="Draw the run: an .svg, .png or .pdf file.")] = None,
    width: Annotated[int, typer.Option(help="Of the drawing, in pixels; 360 fits a phone.", min=320, max=2000)] = 360,
    units: Units = UnitSystem.US,
    json: Annotated[bool, typer.Option("--json", help="For programs.")] = False,
    full: Annotated[bool, typer.Option("--full", help="With --json: every row and every event.")] = False,
) -> None:
    """Run a boiler through hours of its load, also with something broken; the day in words, and as a drawing."""
    from evenfire.delivery.acts import running

    asked = running.RunAsked(
        boiler=boiler,
        settings=settings_set(settings),
        fuel=fuel,
        hours=hours,
        load=load,
        start=start,
        faults=tuple(fault or ()),
        resets=tuple(reset or ()),
    )
    if plot is not None:
        running.require_drawing(plot)
    if sys.stderr.isatty() and not running.is_prepared():
        typer.echo("Preparing the simulation; the first run takes some seconds longer...", err=True)
    done = running.run_plant(plant, asked)
    if json:
        from evenfire.delivery.report.run_json import run_json

        typer.echo(run_json(done, units, full=full))
    else:
        from evenfire.delivery.report.run_text import run_text

        typer.echo(run_text(done, units, terminal_width()))
    if plot is not None:
        drawn = running.draw(done, plot, units, width)
        typer.echo(f"Wrote {plot}." if drawn else f"Drew nothing into {plot}: there was no run.", err=True)
    raise typer.Exit(done.ending.value)


@app.command()
def prove(
    plant: PlantPath,
    scenario: ScenarioNames = None,
    boiler: BoilerName = None,
    settings: SettingsName = None,
    plot: Annotated[Path | None, typer.Option(help="A folder: one .svg for each scenario is written into it.")] = None,
    width: Annotated[int, typer.Option(help="Of a drawing, in pixels; 360 fits a phone.", min=320, max=2000)] = 360,
    units: Units = UnitSystem.US,
    json: Annotated[bool, typer.Option("--json", help="For programs.")] = False,
    every: Annotated[bool, typer.Option("--every", help="Show everything that was looked at.")] = False,
) -> None:
    """Put the settings through what may happen to a boiler, worst first: what holds, by how much, what fails.

    Ends with 0 when what keeps the boiler safe holds (other failures are told), 1 when the high limit alone does not
    stop it below the valves and keep it off or the valves alone do not hold it, 4 when something could not be proved.
    """
    from evenfire.delivery.acts import proving

    asked = proving.ProveAsked(scenarios=tuple(scenario or ()), boiler=boiler, settings=settings_set(settings))
    with on_terminal() as watch:
        done = proving.prove_plant(plant, asked, watch)
    if json:
        from evenfire.delivery.report.prove_json import prove_json

        typer.echo(prove_json(done, units))
    else:
        from evenfire.delivery.report.prove_text import prove_text

        typer.echo(prove_text(done, units, terminal_width(), every=every))
    if plot is not None:
        sheets = proving.draw_sheets(done, plot, units, width)
        told = f"Wrote {len(sheets)} drawings into {plot}." if sheets else f"Drew nothing into {plot}: nothing was run."
        typer.echo(told, err=True)
    raise typer.Exit(done.ending.value)


app.command()(tolerance.odds)
app.command()(tolerance.measure)
app.command()(read)
app.command()(papers.sheet)
app.command()(papers.card)
app.command()(verify)
app.command()(due.history)
app.command()(due.due)
app.add_typer(visit_app)
app.add_typer(store_app)


@app.callback(invoke_without_command=True)
def about(
    version: Annotated[bool, typer.Option("--version", help="Show the version and stop.")] = False,
) -> None:
    """Settings for the pressure controls of a steam boiler: judged as found, chosen together, shown to hold."""
    if version:
        typer.echo(f"evenfire {__version__}")
        raise typer.Exit


def run() -> None:
    """Run the command line; every error ends as one sentence and an exit code, never as a trace."""
    try:
        app()
    except BadInput as error:
        typer.echo(f"evenfire: {error}", err=True)
        sys.exit(BAD_INPUT)
    except BrokenPipeError:
        # The reader (a pager, head) has seen enough; nothing is wrong.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(0)
    except Exception as error:
        typer.echo(f"evenfire: {_program_error(error)}", err=True)
        sys.exit(PROGRAM_ERROR)


def _program_error(error: Exception) -> str:
    """One sentence, with the trace in a named file."""
    what = str(error) if isinstance(error, EvenfireError) else f"{type(error).__name__}"
    try:
        with tempfile.NamedTemporaryFile(
            "w", prefix="evenfire-", suffix=".txt", delete=False, encoding="utf-8"
        ) as file:
            file.write(f"evenfire {__version__}\n{traceback.format_exc()}")
    except OSError:
        return f"a fault of the program ({what}); its trace could not be written. Rely on nothing it said before."
    return f"a fault of the program ({what}). Rely on nothing it said before. Please report the trace in {file.name}."
