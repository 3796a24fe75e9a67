"""The answer of ``run`` as JSON, format ``evenfire.run/1``; the schema stands in ``schemas``."""

import json
import math
from typing import Final

import numpy as np

from evenfire.delivery.answers import BoilerRun, CannotRun, Ran, RunLoad, RunPlan
from evenfire.delivery.figures.trace_points import Points, thinned
from evenfire.delivery.report.check_json import assumption_json, identity_json
from evenfire.delivery.report.outcome_json import Json
from evenfire.delivery.report.run_account import fuel_burnt
from evenfire.delivery.report.run_facts import NeedKept, RunFacts, facts_of
from evenfire.delivery.report.run_story import GRAVE, NOTABLE
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.words import CAUTIONS
from evenfire.delivery.words.cautions import CAUTION_OF_A_RUN
from evenfire.delivery.words.running import DRIFTS, STOP_NAMES, happened
from evenfire.judgement.motion.loading import FaultAt
from evenfire.physics.motion.happenings import Happening
from evenfire.physics.motion.records import Floats
from evenfire.physics.motion.run import Cycle, Event, Extreme, Phase, Run
from evenfire.plant.load import Batches, Constant, Daily, Steps

FORMAT: Final = "evenfire.run/1"
PIECES: Final = 480
"""Of a thinned series; each keeps its first, last, lowest and highest row."""
DIGITS: Final = 8
"""Significant digits of a series: its errors are larger than what is cut off."""
TOLD: Final = GRAVE | NOTABLE | {Happening.BURNER_STOPPED}
"""Events that are given without ``--full``; and every flame."""


def run_json(answer: BoilerRun, system: UnitSystem, *, full: bool = False) -> str:
    """One JSON document; with ``full`` every event and every row of the series."""
    result = answer.result
    document: dict[str, Json] = {
        "format": FORMAT,
        "site": answer.plant_file.plant.site.name,
        **identity_json(answer.identity),
        "physics_version": answer.physics_version,
        "exit_code": answer.ending.value,
        "unfilled_lines": list(answer.plant_file.unfilled),
        "boiler": answer.case.boiler.name,
        "settings": answer.case.which.value,
        "proposal_is_stale": answer.is_stale,
        "fuel": None if answer.burner is None else answer.burner.fuel.value,
        "missing": list(result.missing) if isinstance(result, CannotRun) else [],
        "asked": None if isinstance(result, CannotRun) else _plan(result.plan),
        "broke_off": None if isinstance(result, CannotRun) else _broke_off(result),
        "run": None if isinstance(result, CannotRun) else _run(answer, result, system, full=full),
        "assumptions": [assumption_json(each) for each in answer.plant_file.filled_for_motion],
        "cautions": [*CAUTIONS, CAUTION_OF_A_RUN],
    }
    return json.dumps(document, indent=1, ensure_ascii=False, allow_nan=False)


def _plan(plan: RunPlan) -> dict[str, Json]:
    return {
        "duration_s": plan.duration,
        "begins": plan.beginning.value,
        "begins_pa_gauge": plan.pressure,
        "load": _load(plan.load),
        "faults": [_fault(fault) for fault in plan.faults],
        "resets_s": list(plan.resets),
    }


def _load(load: RunLoad) -> dict[str, Json]:
    """Who stated the load, and its pieces, which come again after the last."""
    pieces: list[tuple[float | None, float]]
    match load.demand:
        case Constant(steam=steam):
            pieces = [(None, steam)]
        case Daily(hours=hours):
            pieces = [(3600.0, steam) for steam in hours]
        case Steps(steps=steps):
            pieces = list(steps)
        case Batches(base=base, batch=batch, duration=duration, per_hour=per_hour):
            # A batch that lasts longer than the time between two runs on into the next.
            pieces = [(duration, base + batch), (max(0.0, 1 / per_hour - duration), base)]
    return {
        "stated_by": load.stated_by.value,
        "file": load.file,
        "shape": load.demand.shape,
        "pieces": [{"for_s": lasting, "steam_kg_s": steam} for lasting, steam in pieces],
        "output_kg_s": load.output_steam,
    }


def _fault(fault: FaultAt) -> dict[str, Json]:
    return {
        "fault": fault.fault.name.lower().replace("_", " "),
        "begin_s": fault.begin,
        "end_s": fault.end if math.isfinite(fault.end) else None,
        "amount_pa": fault.amount if fault.fault in DRIFTS else None,
    }


def _broke_off(ran: Ran) -> Json:
    error = ran.broke_off
    if error is None:
        return None
    return {
        "why": error.why,
        "time_s": error.time.value,
        "pressure_pa_gauge": error.pressure.value,
        "contents_kg": error.contents.value,
    }


def _run(answer: BoilerRun, ran: Ran, system: UnitSystem, *, full: bool) -> dict[str, Json]:
    run, facts = ran.run, facts_of(answer.case, ran.run)
    events = [event for event in run.events if full or _is_told(event)]
    burnt = fuel_burnt(answer, ran)
    price = answer.case.site.fuel_price
    return {
        "identity": run.identity,
        "duration_s": run.duration,
        "held_by": ran.holding.held.value,
        "allowed_pa_gauge": ran.holding.allowed,
        "margin_pa": ran.holding.margin,
        "highest": _extreme(run.highest),
        "lowest": _extreme(run.lowest),
        "need": None if facts.need is None else _need(facts.need),
        **_counted(facts),
        "fuel_j": None if burnt is None else burnt[0],
        "fuel_cost": None if burnt is None else burnt[1],
        "currency": None if price is None else price.currency,
        "crossed": {
            "heat_j": run.crossed.heat,
            "steam_kg": run.crossed.steam,
            "relieved_kg": run.crossed.relieved,
            "feed_kg": run.crossed.feed,
            "lost_j": run.crossed.lost,
            "purged_j": run.crossed.purged,
        },
        "closure": {"mass_fraction": float(run.closure.mass), "energy_fraction": float(run.closure.energy)},
        "events": [_event(event, answer, ran, system) for event in events],
        "cycles": [_cycle(cycle) for cycle in run.cycles],
        "series_is_thinned": not full and len(run.series.time) > 4 * PIECES,
        "series": _series(run, full=full),
    }


def _counted(facts: RunFacts) -> dict[str, Json]:
    return {
        "starts": len(facts.lit),
        "starts_without_flame": facts.calls - len(facts.lit),
        "most_starts_in_an_hour": facts.most_in_an_hour,
        "stops": [
            {
                "by": STOP_NAMES[stops.by],
                "count": len(stops.events),
                "first_s": stops.events[0].time,
                "last_s": stops.events[-1].time,
                "fires_again_s": stops.relit,
            }
            for stops in facts.stops
        ],
        "states": [{"state": state, "for_s": seconds} for state, seconds in facts.states],
        "held_at_low_fire_s": facts.held_firing,
        "above_mawp_s": facts.above_mawp,
    }


def _need(kept: NeedKept) -> dict[str, Json]:
    return {
        "need_pa_gauge": kept.need,
        "reached_s": kept.reached,
        "lowest_since": _extreme(kept.lowest),
        "below_s": kept.below,
        "longest_below_s": kept.longest,
        "more_than_allowed": kept.deeper_than_allowed,
    }


def _extreme(extreme: Extreme) -> dict[str, Json]:
    return {"pressure_pa_gauge": float(extreme.pressure), "time_s": extreme.time}


def _is_told(event: Event) -> bool:
    flame = event.kind is Happening.PHASE_BEGAN and event.subject == Phase.FLAME
    return flame or event.kind in TOLD


def _event(event: Event, answer: BoilerRun, ran: Ran, system: UnitSystem) -> dict[str, Json]:
    return {
        "kind": event.kind.name.lower().replace("_", " "),
        "what": happened(event, answer.case.boiler, ran.plan.faults, system),
        "time_s": event.time,
        "pressure_pa_gauge": float(event.pressure),
        "rising": event.rising,
        "firing_fraction": event.firing,
    }


def _cycle(cycle: Cycle) -> dict[str, Json]:
    return {
        "off_s": cycle.off,
        "called_s": cycle.called,
        "lit_s": cycle.lit,
        "stopped_s": cycle.stopped,
        "stopped_by": STOP_NAMES[cycle.stopped_by],
        "lowest_pa_gauge": float(cycle.lowest),
        "firing_at_stop_fraction": cycle.firing_at_stop,
    }


def _series(run: Run, *, full: bool) -> dict[str, Json]:
    """Columns of equal length; a thinned series keeps the first, last, lowest and highest row of each piece of time."""
    series = run.series
    kept = series.time if full else thinned(Points(time=series.time, value=series.pressure), PIECES).time
    rows = np.searchsorted(series.time, kept)
    columns = {
        "time_s": series.time,
        "pressure_pa_gauge": series.pressure,
        "firing_fraction": series.firing,
        "heat_w": series.heat,
        "steam_kg_s": series.steam,
        "relieved_kg_s": series.relieved,
        "feed_kg_s": series.feed,
        "water_m3": series.water_volume,
        "drive_fraction": series.drive,
    }
    told: dict[str, Json] = {name: _rounded(column[rows]) for name, column in columns.items()}
    told["phase"] = [Phase(int(each)).name.lower().replace("_", " ") for each in series.phase[rows]]
    return told


def _rounded(column: Floats) -> list[Json]:
    return [float(f"{each:.{DIGITS}g}") if math.isfinite(each) else None for each in column]
