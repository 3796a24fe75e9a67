"""A judged visit as the body of a signed record: everything that was typed, and everything that was judged of it.

Numbers are decimal text under keys that end in their unit; what a person typed stands beside as typed.
"""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from functools import partial
from math import isfinite

from evenfire.delivery import units
from evenfire.delivery.records.canonical import Content
from evenfire.delivery.report.outcome_json import kind_of
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.visit_answers import JudgedDevice, JudgedTrip, JudgedVisit
from evenfire.delivery.visits.corrections import Corrected, corrections_of
from evenfire.delivery.visits.entry import MOMENT, Entry
from evenfire.delivery.visits.fields import DIALS
from evenfire.delivery.visits.visit import TemporaryChange
from evenfire.delivery.words import Show, say
from evenfire.delivery.words.visits import say_flag
from evenfire.judgement.outcome import Clear, Outcome
from evenfire.judgement.proofs.result import NotApplicable, NotProved
from evenfire.judgement.proofs.result import Proved as ProvedScenario
from evenfire.judgement.trip_test.abort import Abort, DoNotConnect, MustNotBeMade
from evenfire.judgement.trip_test.devices import DeviceResult
from evenfire.judgement.trip_test.trip import Proved
from evenfire.si import Dimension

WALL_CLOCK = "%Y-%m-%d %H:%M"
SETS = ("as_found", "proposed", "as_left")


def body_of(judged: JudgedVisit, system: UnitSystem) -> dict[str, Content]:
    """Everything that is signed of a visit."""
    visit, show = judged.at.visit, partial(units.show, system=system)
    return {
        "visit": {
            "id": visit.opening.id,
            "opened_at": visit.opening.opened_at.strftime(MOMENT),
            "opened_by": judged.at.people.get(visit.opening.opened_by, visit.opening.opened_by),
            "survey": judged.at.survey.sha256,
            "plant_revision": judged.at.plant_file.revision,
        },
        "call": {
            "reason": visit.reason or "",
            "consent": visit.consent or "",
            "arrived": "" if visit.arrived is None else visit.arrived.strftime(WALL_CLOCK),
        },
        "service": "" if visit.service is None else visit.service.value,
        "controls_proved": sorted(role.value for role in judged.seen.proved),
        "left": {
            "locked_out_by": visit.locked_out_by or "",
            "switch": "" if visit.switch_left is None else visit.switch_left.value,
            "jumpers": None if visit.jumpers_left is None else list(visit.jumpers_left),
            "cycles_seen": visit.cycles_seen,
        },
        "flags": [{"flag": each.flag.value, "said": say_flag(each)} for each in judged.flags],
        "settings": {name: _dials(judged, name) for name in SETS},
        "temporary_changes": [_temporary(each) for each in visit.temporary_changes],
        "corrected": [_corrected(each, judged.at.people) for each in corrections_of(judged.at.entries)],
        "trip_tests": [_trip(each, judged) for each in judged.trips],
        "devices": [_device(each) for each in judged.devices],
        "moves": [
            {
                "number": each.row,
                "words": each.words,
                "done_at": "" if each.done_at is None else each.done_at.strftime(WALL_CLOCK),
                "done_by": each.done_by or "",
            }
            for each in visit.moves
        ],
        "photographs": [{"hash": each.hash, "shows": each.shows or ""} for each in visit.photos],
        "notes": list(visit.notes),
        "judged_as_found": _outcomes(judged.found.outcomes, show),
        "judged_as_left": [] if judged.left is None else _outcomes(judged.left.outcomes, show),
        "proved_as_left": [_proof(each) for each in judged.proofs or ()],
        "assumptions": [each.name for each in judged.at.plant_file.assumptions],
        "entries": [_entry(each, judged.at.people) for each in judged.at.entries],
    }


def decimal_text(value: float | None) -> str:
    """The shortest decimal that gives the number back; empty where there is none, or no end of it."""
    return "" if value is None or not isfinite(value) else format(Decimal(repr(float(value))), "f")


def _dials(judged: JudgedVisit, table: str) -> dict[str, Content]:
    found: dict[str, Content] = {}
    for dial in DIALS:
        entry = judged.at.fold.entry(f"{table}.{dial}")
        if entry is not None and entry.si is not None:
            unit = "pa" if dial.endswith("_differential") else "pa_gauge"
            found[dial] = {"text": entry.text, f"si_{unit}": entry.si}
    return found


def _temporary(change: TemporaryChange) -> dict[str, Content]:
    return {
        "what": change.what or "",
        "reason": change.reason or "",
        "opened_by": change.opened_by or "",
        "opened_at": "" if change.opened_at is None else change.opened_at.strftime(WALL_CLOCK),
        "closed_by": change.closed_by or "",
        "closed_at": "" if change.closed_at is None else change.closed_at.strftime(WALL_CLOCK),
        "verified_by": change.verified_by or "",
    }


def _corrected(corrected: Corrected, people: Mapping[str, str]) -> dict[str, Content]:
    return {
        "path": corrected.path,
        "was": corrected.was,
        "is": corrected.now,
        "by": people.get(corrected.by, corrected.by),
        "at": corrected.at.strftime(MOMENT),
    }


def _trip(trip: JudgedTrip, judged: JudgedVisit) -> dict[str, Content]:
    result, test, entry = trip.result, trip.test, trip.entry
    budget = result.budget
    return {
        "row": entry.row,
        "on": "" if test is None else test.on.isoformat(),
        "control": "" if entry.control is None else entry.control.value,
        "serial": _serial(trip, judged),
        "method": "" if entry.method is None else entry.method.value,
        "gauge": entry.gauge or "",
        "certificate": trip.calibration,
        "at_the_stop": entry.at_the_stop or "",
        "set_pa_gauge": decimal_text(None if test is None else test.set_pressure),
        "within_pa": decimal_text(None if test is None else test.band),
        "other_aim": _yes_no(trip.is_other_aim),
        "dial_pa_gauge": decimal_text(entry.dial),
        "abort": _abort(trip),
        "readings": [
            {"shown_pa_gauge": decimal_text(each.shown), "burner_off_s": decimal_text(each.burner_off)}
            for each in entry.readings
        ],
        "rise_in_ten_seconds_pa": decimal_text(entry.rise),
        "at_low_fire": _yes_no(entry.at_low_fire),
        "opened": _yes_no(entry.opened),
        "stopped_by_hand_pa_gauge": decimal_text(entry.stopped_by_hand),
        "early_reset_took": _yes_no(entry.early_reset_took),
        "held_until_reset": _yes_no(entry.held_until_reset),
        "restarted_at_pa_gauge": decimal_text(entry.restarted_at),
        "verdict": result.verdict.value,
        "also": [each.value for each in result.also],
        "most_pa_gauge": decimal_text(result.most),
        "passes_up_to_pa_gauge": decimal_text(result.passes_up_to),
        "trip_pa_gauge": decimal_text(result.trip),
        "highest_seen_pa_gauge": decimal_text(result.highest_seen),
        "proved": _proved_by(result.proved),
        "budget": []
        if budget is None
        else [
            {
                "origin": each.origin.value,
                "kind": each.kind.value,
                "shape": each.shape.value,
                "half_width": decimal_text(each.half_width),
                "standard_uncertainty_pa": decimal_text(each.standard_uncertainty),
                "degrees_of_freedom": decimal_text(each.degrees_of_freedom),
            }
            for each in budget.components
        ],
        "standard_uncertainty_pa": decimal_text(None if budget is None else budget.standard_uncertainty),
        "degrees_of_freedom": decimal_text(None if budget is None else budget.degrees_of_freedom),
        "expanded_uncertainty_pa": decimal_text(None if budget is None else budget.expanded_uncertainty),
        "coverage_factor": decimal_text(None if budget is None else budget.coverage_factor),
        "guard_above_pa": decimal_text(result.guard_above),
        "probability_below_upper": decimal_text(result.probability_below_upper),
        "probability_within": decimal_text(result.probability_within),
        "missing": list(result.missing),
        "cautions": [each.value for each in result.cautions],
        "assumptions": list(result.assumptions),
        "note": entry.note or "",
    }


def _abort(trip: JudgedTrip) -> dict[str, Content]:
    match trip.abort:
        case Abort(on_gauge=on_gauge, at_boiler=at_boiler):
            return {"on_gauge_pa_gauge": decimal_text(on_gauge), "at_boiler_pa_gauge": decimal_text(at_boiler)}
        case MustNotBeMade(short_by=short_by):
            return {"must_not_be_made_short_by_pa": decimal_text(short_by)}
        case DoNotConnect(scale_ends=scale_ends):
            return {"scale_ends_at_pa_gauge": decimal_text(scale_ends)}
        case _:
            return {}


def _proved_by(proved: Proved | None) -> dict[str, Content]:
    """Where a control acts and how far from there it may act the next time; nothing where no test showed it."""
    if proved is None:
        return {}
    shown: dict[str, Content] = {
        "trip_pa_gauge": decimal_text(proved.trip),
        "tolerance_pa": decimal_text(proved.tolerance),
    }
    return shown if proved.differential is None else {**shown, "differential_pa": decimal_text(proved.differential)}


def _serial(trip: JudgedTrip, judged: JudgedVisit) -> str:
    role = trip.entry.control
    control = None if role is None else judged.at.surveyed.controls.of(role)
    return "" if control is None else control.serial or ""


def _device(device: JudgedDevice) -> dict[str, Content]:
    entry, result = device.entry, device.result
    return {
        "row": entry.row,
        "device": "" if entry.kind is None else entry.kind.value,
        "valve": entry.valve or "",
        "works": _yes_no(entry.works),
        "took_s": decimal_text(entry.took),
        "at_pa_gauge": decimal_text(entry.at),
        "verdict": "" if result is None else result.verdict.value,
        "basis": "" if result is None else result.rule.basis.value,
        "passes": {} if result is None else _passes(result),
        "missing": [] if result is None else list(result.missing),
        "note": entry.note or "",
    }


def _passes(result: DeviceResult) -> dict[str, Content]:
    """Between what it passes, as far as the test has such limits."""
    found: dict[str, Content] = {}
    for name, limit in (("lowest", result.lowest), ("highest", result.highest)):
        if limit is not None:
            unit = "s" if limit.dimension is Dimension.TIME else "pa_gauge"
            found[f"{name}_{unit}"] = decimal_text(limit.value)
    return found


def _yes_no(value: bool | None) -> str:
    return "" if value is None else "yes" if value else "no"


def _outcomes(outcomes: Sequence[Outcome], show: Show) -> list[Content]:
    """Everything that is not clear, with its words; of what is clear the code."""
    return [_outcome(each, show) for each in outcomes]


def _outcome(outcome: Outcome, show: Show) -> dict[str, Content]:
    head: dict[str, Content] = {
        "code": outcome.code,
        "outcome": kind_of(outcome),
        "severity": outcome.severity.value,
        "subject": outcome.subject.part.value,
        "name": outcome.subject.name,
    }
    return head if isinstance(outcome, Clear) else {**head, "said": say(outcome, show).what}


def _proof(proved: ProvedScenario) -> dict[str, Content]:
    head: dict[str, Content] = {"scenario": proved.scenario.value}
    if isinstance(proved, NotProved):
        return {**head, "verdict": "not proved", "missing": list(proved.missing)}
    if isinstance(proved, NotApplicable):
        return {**head, "verdict": "says nothing of this boiler"}
    checks: list[Content] = [
        {
            "watched": check.watched.value,
            "holds": check.holds,
            "observed": decimal_text(check.observed.value),
            "limit": decimal_text(check.limit.value),
            "margin": decimal_text(check.margin.value),
            "dimension": check.margin.dimension.value,
        }
        for check in proved.checks
    ]
    return {**head, "verdict": proved.verdict.value, "checks": checks}


def _entry(entry: Entry, people: Mapping[str, str]) -> dict[str, Content]:
    return {
        "id": entry.id,
        "path": entry.path,
        "text": entry.text,
        "unit": entry.unit or "",
        "si": entry.si or "",
        "why_not": entry.why_not or "",
        "author": people.get(entry.author, entry.author),
        "device": entry.device,
        "at": entry.at.strftime(MOMENT),
        "based_on": list(entry.based_on),
    }
