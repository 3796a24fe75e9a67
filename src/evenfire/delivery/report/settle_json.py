"""The answer of ``settle`` as JSON, format ``evenfire.settle/1``; the schema stands in ``schemas``."""

import json
from functools import partial
from typing import Final

from evenfire.delivery import units
from evenfire.delivery.answers import BoilerSettle, Settle
from evenfire.delivery.report.check_json import assumption_json, identity_json, standing_json
from evenfire.delivery.report.moves_text import moves_json
from evenfire.delivery.report.outcome_json import Json, number, outcome_json
from evenfire.delivery.report.outcome_text import unjudged_stops
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.words import CAUTIONS, Show
from evenfire.delivery.words.cautions import CAUTION_OF_A_RUN
from evenfire.delivery.words.cures import say_cure
from evenfire.judgement.outcome import NotJudged, Outcome
from evenfire.judgement.settle.result import CannotSettle, Chosen, Cure, Fits, NothingFits, NotWeighed, Room
from evenfire.plant.controls import Role
from evenfire.plant.known import Missing

FORMAT: Final = "evenfire.settle/1"


_NOTHING: Final[dict[str, Json]] = {
    "feasible": None,
    "combinations": None,
    "settings": None,
    "dials": [],
    "margins": [],
    "not_judged": [],
    "standing": None,
    "outcomes": [],
    "moves": [],
    "trade": [],
    "pulls": [],
    "failing": [],
    "conflicts": [],
    "cures": [],
    "fallback": None,
    "missing": [],
    "motion": None,
}


def settle_json(done: Settle, system: UnitSystem) -> str:
    """One JSON document; words are in the reader's units, numbers in the unit that their key names."""
    show: Show = partial(units.show, system=system)
    moved = any(boiler.motion is not None and boiler.motion.proofs for boiler in done.boilers)
    filled = done.plant_file.filled_for_motion if moved else done.plant_file.filled
    document: dict[str, Json] = {
        "format": FORMAT,
        "site": done.plant_file.plant.site.name,
        **identity_json(done.identity),
        "exit_code": done.ending.value,
        "boilers": [_boiler(boiler, show) for boiler in done.boilers],
        "assumptions": [assumption_json(each) for each in filled],
        "cautions": [*([CAUTION_OF_A_RUN] if moved else []), *CAUTIONS],
    }
    return json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False)


def _boiler(boiler: BoilerSettle, show: Show) -> dict[str, Json]:
    """One boiler; every answer has every key, empty where there is nothing to say."""
    told: dict[str, Json] = {
        "name": boiler.now.case.boiler.name,
        **_NOTHING,
        "not_judged": _not_judged((), outcomes_behind(boiler)),
        "motion": _motion(boiler),
    }
    match boiler.answer:
        case Fits() as answer:
            moves = [] if boiler.moves is None else moves_json(boiler.moves, show)
            return {
                **told,
                "feasible": True,
                "combinations": answer.combinations,
                **_chosen(answer.chosen, show),
                "moves": list(moves),
                "trade": [{"lowest_pa_gauge": each.lowest, "starts_per_s": each.starts} for each in answer.trade],
                "pulls": [{"code": each.code, "key": each.key, "change_pa": each.change} for each in answer.pulls],
            }
        case NothingFits() as answer:
            return {
                **told,
                "feasible": False,
                "combinations": answer.combinations,
                "failing": [_room(room) for room in answer.failing],
                "conflicts": [list(conflict.codes) for conflict in answer.conflicts],
                "cures": [
                    {"conflict": place, **_cure(cure, show)}
                    for place, conflict in enumerate(answer.conflicts)
                    for cure in conflict.cures
                ],
                "fallback": None if answer.nearest is None else _chosen(answer.nearest, show),
            }
        case CannotSettle(missing=missing):
            return {**told, "missing": list(missing)}


def outcomes_behind(boiler: BoilerSettle) -> tuple[Outcome, ...]:
    """How the rule book ends on what is proposed, or on what was read where nothing is."""
    match boiler.answer:
        case Fits(chosen=chosen) | NothingFits(nearest=Chosen() as chosen):
            return chosen.outcomes
        case _:
            return boiler.now.outcomes


def _motion(boiler: BoilerSettle) -> Json:
    if boiler.motion is None:
        return None
    from evenfire.delivery.report.prove_json import motion_json  # brings the simulation in

    return motion_json(boiler.motion)


def _chosen(chosen: Chosen, show: Show) -> dict[str, Json]:
    return {
        "settings": _points(chosen),
        "dials": [_dial(chosen, role) for role in Role if chosen.settings.of(role) is not None],
        "margins": [_room(room) for room in chosen.rooms],
        "not_judged": _not_judged(chosen.not_weighed, chosen.outcomes),
        "standing": standing_json(chosen.standing),
        "outcomes": [outcome_json(outcome, show) for outcome in chosen.outcomes],
    }


def _not_judged(not_weighed: tuple[NotWeighed, ...], outcomes: tuple[Outcome, ...]) -> Json:
    """Demands that could not be weighed and stop rules that could not be judged, each code once."""
    missing: dict[str, dict[str, None]] = {}
    lacking: tuple[NotWeighed | NotJudged, ...] = (*not_weighed, *unjudged_stops(outcomes))
    for each in lacking:
        missing.setdefault(each.code, {}).update(dict.fromkeys(each.missing))
    return [{"code": code, "missing": list(keys)} for code, keys in missing.items()]


def _points(chosen: Chosen) -> dict[str, Json]:
    """Acting points at the boiler."""
    stack = chosen.case.stack
    points = {
        "high_fire_pa_gauge": stack.high_fire,
        "low_fire_pa_gauge": stack.low_fire,
        "cut_out_pa_gauge": stack.cut_out,
        "cut_in_pa_gauge": stack.cut_in,
        "high_limit_pa_gauge": stack.trip,
        "low_fire_hold_pa_gauge": stack.hold,
    }
    return {key: None if isinstance(value, Missing) else value for key, value in points.items()}


def _dial(chosen: Chosen, role: Role) -> dict[str, Json]:
    reading = chosen.settings.of(role)
    off = chosen.case.facts.off.of(role)
    return {
        "control": role.value,
        "main_pa_gauge": None if reading is None else reading.main,
        "differential_pa": None if reading is None else reading.differential,
        "to_be_proved": role in chosen.settings.proved,
        "tolerance_pa": None if isinstance(off, Missing) else off,
    }


def _cure(cure: Cure, show: Show) -> dict[str, Json]:
    return {
        "kind": cure.kind.value,
        "controls": [role.value for role in cure.roles],
        **number("before", cure.before),
        **number("after", cure.after),
        "do": say_cure(cure, show),
    }


def _room(room: Room) -> dict[str, Json]:
    return {"code": room.code, "room_pa": room.room, "tolerance_pa": room.unit, "met": room.met}
