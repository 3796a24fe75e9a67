"""Run one boiler of a plant file through hours of its load, with whatever breaks on the way."""

from dataclasses import dataclass
from pathlib import Path
from typing import Final, assert_never

from evenfire.delivery.acts.checking import boiler_named, has_stale_proposal, identity_of, settings_of
from evenfire.delivery.acts.files import write_bytes_whole
from evenfire.delivery.answers import Beginning, BoilerRun, CannotRun, LoadFrom, Ran, RunLoad, RunPlan
from evenfire.delivery.intake.fault_text import read_fault
from evenfire.delivery.intake.load_text import ShareOfOutput, read_load
from evenfire.delivery.intake.moments import read_time
from evenfire.delivery.intake.plant_file import PlantFile, read_plant_file
from evenfire.delivery.intake.recorded_load import read_recorded_load
from evenfire.delivery.intake.tables.quantities import described
from evenfire.delivery.units import UnitSystem, read, show
from evenfire.delivery.words.clock import lasting
from evenfire.delivery.words.running import fault_words
from evenfire.errors import BadRequest, Diverged, ImpossibleValue, OutOfRange, UnreadableQuantity
from evenfire.judgement.case import BEYOND_STEAM, Case, SettingsSet, prepare
from evenfire.judgement.motion import beginning
from evenfire.judgement.motion.holding import what_held
from evenfire.judgement.motion.loading import FaultAt, inputs_of, profile_of, worst_steady_load
from evenfire.judgement.motion.modelling import boiler_model, burner_on, working_pressure
from evenfire.physics.compiled import cache_place
from evenfire.physics.motion.faults import Fault
from evenfire.physics.motion.model import Inputs, Model
from evenfire.physics.motion.run import PHYSICS_VERSION, Run
from evenfire.physics.motion.run import run as run_boiler
from evenfire.physics.motion.state import State
from evenfire.plant.boiler import Boiler
from evenfire.plant.burner import Firing, Fuel, PurgeDamper
from evenfire.plant.controls import Role
from evenfire.plant.known import NotKnownError
from evenfire.plant.load import Constant, Recorded
from evenfire.si import AbsPa, Dimension, GaugePa, Quantity

DRAWINGS: Final = (".svg", ".png", ".pdf")
LONGEST_HOURS: Final = 9600.0
COLD: Final = "cold"
FINEST_ROW: Final = 0.25
COARSEST_DAILY_ROW: Final = 5.0
"""Of a run of a day or so; the series of a longer one has wider steps [s]."""
ROWS_OF_A_SHORT_RUN: Final = 3600
MOST_ROWS: Final = 250_000
"""A series of a year by the second would fill the memory; turning points are kept to the digit all the same."""
_JUST_BEFORE: Final = 1e-3
"""A run that broke off is run again until shortly before, for its story [s]."""
_NEEDS: Final = {
    Fault.OPERATING_LIMIT_WELDED: Role.OPERATING_LIMIT,
    Fault.OPERATING_LIMIT_DRIFTED: Role.OPERATING_LIMIT,
    Fault.HIGH_LIMIT_WELDED: Role.HIGH_LIMIT,
    Fault.HIGH_LIMIT_DRIFTED: Role.HIGH_LIMIT,
    Fault.FIRING_RATE_DRIFTED: Role.FIRING_RATE,
    Fault.HOLD_BYPASSED: Role.LOW_FIRE_HOLD,
    Fault.HOLD_DRIFTED: Role.LOW_FIRE_HOLD,
}
_NEEDS_DRIVE: Final = {Fault.DRIVE_STUCK, Fault.DRIVE_STUCK_AT_FULL, Fault.DAMPER_STUCK_IN_PURGE}


@dataclass(frozen=True, slots=True, kw_only=True)
class RunAsked:
    """What somebody asks for, as typed."""

    boiler: str | None = None
    settings: SettingsSet | None = None
    fuel: str | None = None
    hours: float = 24.0
    """[h]"""
    load: str | None = None
    start: str | None = None
    faults: tuple[str, ...] = ()
    resets: tuple[str, ...] = ()


def is_prepared() -> bool:
    """Whether the simulation was compiled before and kept; the first run of all takes some seconds longer."""
    place = cache_place()
    return place is not None and any(place.rglob("advance.run_until-*.nbi"))


def run_plant(plant: Path, asked: RunAsked) -> BoilerRun:
    """Run one boiler of a plant file.

    Raises
    ------
    BadInput
        The file or what was asked cannot be used.
    """
    return run_of(read_plant_file(plant), asked)


def run_of(plant_file: PlantFile, asked: RunAsked) -> BoilerRun:
    """Run one boiler of a plant file that has been read."""
    boiler = boiler_named(plant_file, asked.boiler)
    which, settings = settings_of(plant_file, boiler, asked.settings)
    case = prepare(plant_file.plant, boiler, which, settings)
    fuel = _fuel(boiler, asked.fuel)
    result = _result(plant_file, case, fuel, asked)
    return BoilerRun(
        plant_file=plant_file,
        case=case,
        burner=burner_on(case, fuel) if boiler.burners else None,
        is_stale=which is SettingsSet.PROPOSED and has_stale_proposal(plant_file, boiler),
        result=result,
        identity=identity_of(plant_file),
        physics_version=PHYSICS_VERSION,
    )


def require_drawing(path: Path) -> None:
    """Raise :class:`~evenfire.errors.BadRequest` for a drawing of a kind that is not made, before anything is run."""
    if path.suffix.casefold() not in DRAWINGS:
        raise BadRequest(f"--plot {described(str(path))} is no kind of drawing; accepted are {', '.join(DRAWINGS)}.")


def draw(answer: BoilerRun, path: Path, system: UnitSystem, width: int) -> bool:
    """Draw a run into a file, ``width`` pixels wide; whether there was a run to draw."""
    if isinstance(answer.result, CannotRun):
        return False
    from evenfire.delivery.figures.trace_drawing import draw_trace
    from evenfire.delivery.figures.trace_file import trace_bytes
    from evenfire.delivery.figures.trace_layout import lay_out_trace
    from evenfire.delivery.report.run_text import drawing_caption

    title = f"{answer.case.boiler.name}, {answer.case.site.name}"
    layout = lay_out_trace(
        answer.case, answer.result.run, title, drawing_caption(answer, answer.result, system), system
    )
    write_bytes_whole(path, trace_bytes(draw_trace(layout, width), path.suffix.casefold()))
    return True


def _result(plant_file: PlantFile, case: Case, fuel: Fuel | None, asked: RunAsked) -> Ran | CannotRun:
    duration = _duration(asked.hours)
    faults = tuple(_fault(case, fuel, text, duration) for text in asked.faults)
    resets = tuple(_reset(text, duration) for text in asked.resets)
    begins, pressure = _beginning(case, asked.start)
    try:
        model = boiler_model(case, fuel)
        plan = RunPlan(
            duration=duration,
            load=_load(plant_file, case, float(model.burner.full_heat), asked.load, is_cold=begins is Beginning.COLD),
            beginning=begins,
            pressure=pressure,
            faults=faults,
            resets=resets,
        )
        return _ran(case, model, plan)
    except NotKnownError as lacking:
        return CannotRun(missing=lacking.keys)
    except OutOfRange:
        # A dial may put cut-in into vacuum; which load cycles most is not known there.
        return CannotRun(missing=(BEYOND_STEAM,))
    except ImpossibleValue as error:
        raise BadRequest(f"{plant_file.name}: this boiler cannot be run. {_impossible(error)}") from error


def _impossible(error: ImpossibleValue) -> str:
    limit = "" if error.limit is None else f" {show(error.limit, UnitSystem.US)}"
    return f"Its {error.field} is {show(error.found, UnitSystem.US)}; it must be {error.must_be}{limit}."


def _ran(case: Case, model: Model, plan: RunPlan) -> Ran:
    inputs = inputs_of(profile_of(plan.load.demand), plan.faults, plan.resets)
    first = _first(case, model, plan, inputs)
    try:
        run, broke_off = _run(model, inputs, first, plan.duration), None
    except Diverged as error:
        run, broke_off = _run(model, inputs, first, max(0.0, error.time.value - _JUST_BEFORE)), error
    return Ran(plan=plan, run=run, holding=what_held(case.boiler, run), broke_off=broke_off)


def _run(model: Model, inputs: Inputs, first: State, duration: float) -> Run:
    wide = min(COARSEST_DAILY_ROW, max(FINEST_ROW, duration / ROWS_OF_A_SHORT_RUN))
    return run_boiler(model, inputs, first, duration=duration, interval=max(wide, duration / MOST_ROWS))


def _first(case: Case, model: Model, plan: RunPlan, inputs: Inputs) -> State:
    match plan.beginning:
        case Beginning.AT_WORK:
            return beginning.at_work(case, model, inputs.draw)
        case Beginning.COLD:
            return beginning.from_cold(case, model)
        case Beginning.AT_PRESSURE:
            return beginning.at(case, model, GaugePa(0.0 if plan.pressure is None else plan.pressure))
    assert_never(plan.beginning)


def _duration(hours: float) -> float:
    if not 0 < hours <= LONGEST_HOURS:
        raise BadRequest(f"--hours {hours:g} is no length of a run; accepted are more than 0 and up to 9,600 hours.")
    return hours * 3600.0


def _fuel(boiler: Boiler, text: str | None) -> Fuel | None:
    """The fuel of that name; nothing stands for the first that the file lists."""
    if text is None:
        return None
    fuels = [burner.fuel for burner in boiler.burners]
    wanted = " ".join(text.casefold().split())
    for fuel in fuels:
        if fuel.value == wanted:
            return fuel
    listed = ", ".join(repr(fuel.value) for fuel in fuels) or "no burner at all"
    raise BadRequest(f"--fuel {described(text)}: boiler {boiler.name!r} burns {listed}.")


def _fault(case: Case, fuel: Fuel | None, text: str, duration: float) -> FaultAt:
    """A fault that can happen to this boiler while it runs: one that could not would leave the day as it was."""
    fault = read_fault(text)
    boiler, words = case.boiler, fault_words(fault, UnitSystem.US)
    if fault.begin >= duration:
        raise BadRequest(f"--fault {described(text)} comes after the end of the run, which takes {lasting(duration)}.")
    needed = _NEEDS.get(fault.fault)
    if needed is not None and boiler.controls.of(needed) is None:
        name = needed.value.replace("_", " ")
        raise BadRequest(f"--fault {described(text)}: boiler {boiler.name!r} has no {name} in the survey to fail.")
    if fault.fault not in _NEEDS_DRIVE or not boiler.burners:
        return fault
    burner = burner_on(case, fuel)
    purges_low = burner.chain.purge_damper is PurgeDamper.LOW
    if burner.firing is Firing.ON_OFF or (fault.fault is Fault.DAMPER_STUCK_IN_PURGE and purges_low):
        does = "fires on and off" if burner.firing is Firing.ON_OFF else "purges at low damper"
        raise BadRequest(f"--fault {described(text)}: this burner {does}, so {words!r} would change nothing.")
    return fault


def _reset(text: str, duration: float) -> float:
    time = read_time(text, f"--reset {described(text)}")
    if time >= duration:
        raise BadRequest(f"--reset {described(text)} comes after the end of the run, which takes {lasting(duration)}.")
    return time


def _beginning(case: Case, text: str | None) -> tuple[Beginning, GaugePa | None]:
    if text is None:
        return Beginning.AT_WORK, None
    if text.strip().casefold() == COLD:
        return Beginning.COLD, None
    accepted = f'Accepted are "{COLD}" and a gauge pressure such as "110 psi".'
    try:
        pressure = GaugePa(read(text, Dimension.GAUGE_PRESSURE, ambient=AbsPa(case.site.ambient.value)).value)
    except UnreadableQuantity as error:
        raise BadRequest(f"--start {described(text)} {error.why}. {accepted}") from error
    if not 0 <= pressure <= case.boiler.mawp:
        mawp = show(Quantity(case.boiler.mawp, Dimension.GAUGE_PRESSURE), UnitSystem.US)
        raise BadRequest(f"--start {described(text)} is not between nought and the MAWP of {mawp}. {accepted}")
    return Beginning.AT_PRESSURE, pressure


def _load(plant_file: PlantFile, case: Case, full_heat: float, text: str | None, *, is_cold: bool) -> RunLoad:
    """The load that was asked for, else that of the plant, else the steady one that cycles most."""
    output = full_heat / case.behaviour.steam_heat(1.0, working_pressure(case))
    stated = case.load.demand
    if text is None and is_cold:
        # Steam that is drawn while a boiler warms keeps it from ever coming to pressure.
        return RunLoad(demand=Constant(steam=0.0), stated_by=LoadFrom.SHUT, file=None, output_steam=output)
    if text is not None:
        asked = read_load(text)
        demand = Constant(steam=asked.share * output) if isinstance(asked, ShareOfOutput) else asked
        file = None if isinstance(asked, ShareOfOutput | Constant) else Path(text.strip()).name
        return RunLoad(demand=demand, stated_by=LoadFrom.ASKED, file=file, output_steam=output)
    if stated is None:
        demand = Constant(steam=worst_steady_load(case))
        return RunLoad(demand=demand, stated_by=LoadFrom.NOBODY, file=None, output_steam=output)
    if not isinstance(stated, Recorded):
        return RunLoad(demand=stated, stated_by=LoadFrom.PLANT, file=None, output_steam=output)
    folder = Path() if plant_file.path is None else plant_file.path.parent
    recorded = read_recorded_load(folder / stated.file)
    return RunLoad(demand=recorded, stated_by=LoadFrom.PLANT, file=stated.file, output_steam=output)
