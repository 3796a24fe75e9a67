"""The answer of ``measure`` as JSON, format ``evenfire.measure/1``; the schema stands in ``schemas``."""

import json
from functools import partial
from typing import Final

from evenfire.delivery import units
from evenfire.delivery.answers import BoilerPulls, Measure
from evenfire.delivery.report.check_json import assumption_json, identity_json
from evenfire.delivery.report.outcome_json import Json, number
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.words import CAUTIONS, Show
from evenfire.delivery.words.cautions import CAUTION_OF_A_RUN
from evenfire.delivery.words.measurement_saying import name_of_measurement, say_margin, say_why, what_to_measure
from evenfire.judgement.tolerance.sensitivity import Help, MarginPulls

FORMAT: Final = "evenfire.measure/1"


def measure_json(answer: Measure, system: UnitSystem) -> str:
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


def _boiler(boiler: BoilerPulls, show: Show) -> dict[str, Json]:
    found = boiler.found
    return {
        "name": boiler.case.boiler.name,
        "settings": boiler.case.which.value,
        "proposal_is_stale": boiler.is_stale,
        "identity": found.identity,
        "route": found.route.value,
        "missing": list(found.missing),
        "measure_first": _first(boiler, show),
        "margins": [_margin(each, show) for each in found.margins],
        "not_judged": [{"code": code, "missing": list(missing)} for code, missing in found.not_weighed],
        "not_varied": list(found.not_varied),
        "assumed": list(found.assumptions),
    }


def _first(boiler: BoilerPulls, show: Show) -> Json:
    found, best = boiler.found, boiler.found.most_helpful
    margin = None if best is None else found.of(best.code)
    if best is None or margin is None:
        return None
    entry = what_to_measure(best, boiler.case, show)
    told: dict[str, Json] = {"code": best.code, "stake": margin.stake.name.lower(), **_help(best)}
    return {**told, "do": entry.do, "why": say_why(best, margin, show), "write": entry.write}


def _margin(margin: MarginPulls, show: Show) -> Json:
    return {
        "code": margin.code,
        "stake": margin.stake.name.lower(),
        "room_pa": margin.room,
        "doubt_pa": margin.doubt,
        "what": say_margin(margin, show),
        "pulls": [
            {
                "key": each.key,
                "origin": each.origin.value,
                **number("doubt", each.doubt),
                "higher_pa": each.higher,
                "lower_pa": each.lower,
            }
            for each in margin.pulls
        ],
        "helps": [_help(each) for each in margin.helps],
    }


def _help(help_: Help) -> dict[str, Json]:
    return {
        "measurement": help_.measurement.value,
        "name": name_of_measurement(help_),
        "keys": list(help_.keys),
        "before_pa": help_.before,
        "after_pa": help_.after,
    }
