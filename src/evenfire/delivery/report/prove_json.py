"""The answer of ``prove`` as JSON, format ``evenfire.prove/1``; the schema stands in ``schemas``."""

import json
from functools import partial
from typing import Final

from evenfire.delivery import units
from evenfire.delivery.answers import BoilerProofs, Prove
from evenfire.delivery.report.check_json import assumption_json, identity_json
from evenfire.delivery.report.outcome_json import Json, number
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.words import CAUTIONS, Show
from evenfire.delivery.words.cautions import CAUTION_OF_A_RUN
from evenfire.delivery.words.proof_saying import found_out, say_fact, sentences, to_do, worst_of_each
from evenfire.judgement.case import Case
from evenfire.judgement.proofs.learning import Learned, Round, case_in
from evenfire.judgement.proofs.result import Check, NotApplicable, NotProved, Proof, Proved
from evenfire.judgement.proofs.weighing import is_unsafe, worst_first
from evenfire.physics.schedule import FireByTheClock, FireSteadily, Firing, NoFiringFits

FORMAT: Final = "evenfire.prove/1"


def prove_json(answer: Prove, system: UnitSystem) -> str:
    """One JSON document; words are in the reader's units, numbers in the unit that their key names."""
    show: Show = partial(units.show, system=system)
    document: dict[str, Json] = {
        "format": FORMAT,
        "site": answer.plant_file.plant.site.name,
        **identity_json(answer.identity),
        "physics_version": answer.physics_version,
        "exit_code": answer.ending.value,
        "boilers": [_boiler(boiler, show) for boiler in answer.boilers],
        "assumptions": [assumption_json(each) for each in answer.plant_file.filled_for_motion],
        "cautions": [CAUTION_OF_A_RUN, *CAUTIONS],
        "unfilled_lines": list(answer.plant_file.unfilled),
    }
    return json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False)


def motion_json(learned: Learned) -> Json:
    """What motion taught and proved of settled settings."""
    case = case_in(learned.settlement)
    return {
        "rounds": len(learned.rounds),
        "history": [_round(each) for each in learned.rounds],
        "lessons": [
            {
                "name": lesson.term.value,
                "closed_form_pa": float(lesson.closed_form),
                "simulated_pa": float(lesson.seen),
            }
            for lesson in learned.lessons
        ],
        "still_short": [term.value for term in learned.still_short],
        "failing": [proof.scenario.value for proof in learned.failing],
        "missing": list(learned.missing),
        "proofs": [] if case is None else [_summary(each) for each in worst_first(learned.proofs)],
    }


def _round(each: Round) -> dict[str, Json]:
    """What one round was settled with, beside the closed forms, and what motion said of it."""
    widened = each.widened
    return {
        "run_on_at_cut_out_pa": float(widened.run_on_at_cut_out),
        "run_on_at_full_fire_pa": float(widened.run_on_at_full_fire),
        "undershoot_pa": float(widened.undershoot),
        "drop_overshoot_pa": float(widened.drop_overshoot),
        "load_fall_pa": float(widened.load_fall),
        "lowest_under_load_pa_gauge": None if widened.lowest_under_load is None else float(widened.lowest_under_load),
        "short": [term.value for term in each.short],
        "failed": [scenario.value for scenario in each.failed],
    }


def _boiler(boiler: BoilerProofs, show: Show) -> dict[str, Json]:
    return {
        "name": boiler.case.boiler.name,
        "settings": boiler.case.which.value,
        "proposal_is_stale": boiler.is_stale,
        "proofs": [_proof(boiler.case, each, show) for each in boiler.proofs],
    }


def _proof(case: Case, proved: Proved, show: Show) -> dict[str, Json]:
    """One scenario; every answer has every key, empty where there is nothing to say."""
    head: dict[str, Json] = {"scenario": proved.scenario.value, "verdict": verdict_of(proved), "unsafe": False}
    empty: dict[str, Json] = {
        "what": "",
        "found": [],
        "do": "",
        "checks": [],
        "facts": [],
        "schedules": [],
        "walls": [],
    }
    if isinstance(proved, NotProved):
        return {**head, **empty, "missing": list(proved.missing)}
    if isinstance(proved, NotApplicable):
        return {**head, **empty, "missing": []}
    return {
        **head,
        "unsafe": is_unsafe(proved),
        "what": sentences(case, proved, show),
        "found": list(found_out(case, proved, show)),
        "do": to_do(case, proved, show),
        "checks": [_check(each) for each in proved.checks],
        "facts": [
            {
                "found": each.found.value,
                **number("value", each.value),
                "run": each.shown,
                "what": say_fact(proved, each, show),
            }
            for each in proved.facts
        ],
        "schedules": [
            {"run": each.name, "spans": [_firing(firing) for firing in each.firings]} for each in proved.schedules
        ],
        "walls": [
            {
                "run": each.name,
                "difference_k": each.difference,
                "stress_pa": each.stress,
                "steady_stress_pa": each.steady_stress,
                "at_s": each.at,
            }
            for each in proved.walls
        ],
        "missing": list(proved.not_told),
    }


def verdict_of(proved: Proved) -> str:
    """``fails``, ``not proved``, ``warns``, ``holds``, ``told`` or ``not applicable``."""
    match proved:
        case Proof():
            return proved.verdict.value
        case NotProved():
            return "not proved"
        case NotApplicable():
            return "not applicable"


def _summary(proved: Proved) -> dict[str, Json]:
    worst = worst_of_each(proved)[:1] if isinstance(proved, Proof) else ()
    return {
        "scenario": proved.scenario.value,
        "verdict": verdict_of(proved),
        "unsafe": is_unsafe(proved),
        "narrowest": _check(worst[0]) if worst else None,
        "missing": list(proved.missing) if isinstance(proved, NotProved) else [],
    }


def _check(check: Check) -> dict[str, Json]:
    return {
        "watched": check.watched.value,
        "holds": check.holds,
        "basis": check.basis.value,
        **number("observed", check.observed),
        **number("limit", check.limit),
        **number("margin", check.margin),
        "at_s": None if check.at is None else check.at.value,
        "run": check.shown,
    }


def _firing(firing: Firing) -> dict[str, Json]:
    span: dict[str, Json] = {
        "from_k": firing.span.from_temperature,
        "to_k": firing.span.to_temperature,
        "low_fire_rate_k_s": firing.span.low_fire_rate,
        "minutes_on": None,
        "minutes_off": None,
    }
    match firing:
        case FireByTheClock(minutes_on=on, minutes_off=off):
            return {**span, "how": "by the clock", "minutes_on": on, "minutes_off": off}
        case FireSteadily():
            return {**span, "how": "steadily"}
        case NoFiringFits():
            return {**span, "how": "not at all"}
