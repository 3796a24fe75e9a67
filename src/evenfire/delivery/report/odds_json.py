"""The answer of ``odds`` as JSON, format ``evenfire.odds/1``; the schema stands in ``schemas``."""

import json
from functools import partial
from typing import Final

from evenfire.delivery import units
from evenfire.delivery.answers import BoilerOdds, Odds
from evenfire.delivery.report.check_json import assumption_json, identity_json
from evenfire.delivery.report.outcome_json import Json
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.words import CAUTIONS, Show
from evenfire.delivery.words.cautions import CAUTION_OF_A_RUN
from evenfire.delivery.words.odds import QUESTIONS
from evenfire.delivery.words.odds_saying import say_basis, say_what, to_do
from evenfire.judgement.tolerance.result import Likelihood, Likelihoods
from evenfire.judgement.tolerance.spread import DRAWN, ControlSpread, Spread
from evenfire.judgement.tolerance.weighing import weight_of, worst_first
from evenfire.plant.known import Missing

FORMAT: Final = "evenfire.odds/1"


def odds_json(answer: Odds, system: UnitSystem) -> str:
    """One JSON document; words are in the reader's units, numbers in the unit that their key names.

    How many threads counted is not told: it changes no digit.
    """
    show: Show = partial(units.show, system=system)
    document: dict[str, Json] = {
        "format": FORMAT,
        "site": answer.plant_file.plant.site.name,
        **identity_json(answer.identity),
        "physics_version": answer.physics_version,
        "exit_code": answer.ending.value,
        "seed": answer.seed,
        "draws_asked": answer.draws,
        "most_reruns": answer.most_reruns,
        "stopped": answer.is_stopped,
        "not_begun": list(answer.not_begun),
        "boilers": [_boiler(boiler, answer.plant_file.name, show) for boiler in answer.boilers],
        "assumptions": [assumption_json(each) for each in answer.plant_file.filled_for_motion],
        "cautions": [CAUTION_OF_A_RUN, *CAUTIONS],
        "unfilled_lines": list(answer.plant_file.unfilled),
    }
    return json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False)


def _boiler(boiler: BoilerOdds, file: str, show: Show) -> dict[str, Json]:
    counted = boiler.counted
    return {
        "name": boiler.case.boiler.name,
        "settings": boiler.case.which.value,
        "proposal_is_stale": boiler.is_stale,
        "complete": counted.is_complete,
        "draws": counted.draws,
        "rows": counted.rows,
        "identity": counted.identity,
        "route": counted.route.value,
        "missing": list(counted.missing),
        "confidence_fraction": counted.confidence,
        "answers": [_answer(each, counted, file, show) for each in worst_first(counted.answers)],
        "not_judged": [
            {"question": each.question.value, "missing": list(each.missing)} for each in counted.not_counted
        ],
        "spread": None if counted.spread is None else _spread(counted.spread),
        "assumed": list(counted.assumptions),
    }


def _answer(each: Likelihood, counted: Likelihoods, file: str, show: Show) -> Json:
    return {
        "question": each.question.value,
        "weight": weight_of(each).name.lower(),
        "probability_fraction": each.probability,
        "lowest_fraction": each.lowest,
        "highest_fraction": each.highest,
        "standard_error_fraction": each.standard_error,
        "none_seen": each.none_seen,
        "draws": each.draws,
        "sure": each.sure,
        "near": each.near,
        "rerun": each.rerun,
        "seen": each.seen,
        "corrected": each.corrected,
        "failed": each.failed,
        "outgrown": each.outgrown,
        "furthest_apart_pa": each.furthest_apart,
        "what": f"{QUESTIONS[each.question].title}: {say_what(each)}",
        "from": say_basis(each, counted.route, show),
        "do": to_do(each, file),
    }


def _spread(spread: Spread) -> Json:
    controls: dict[str, Json] = {role.value: _control(spread.of(role)) for role in DRAWN}
    return {**controls, "valves": [{"lift_pa_gauge": each.lift, "off_pa": each.off} for each in spread.valves]}


def _control(spread: ControlSpread | Missing) -> Json:
    if isinstance(spread, Missing):
        return None
    return {"set_error_pa": spread.set_error, "drift_pa": spread.drift}
