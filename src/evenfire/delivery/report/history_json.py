"""The history of a boiler's limits as JSON, format ``evenfire.history/1``, and its schema."""

import json
from typing import Final

from evenfire.delivery.report import history_phrases as phrases
from evenfire.delivery.report.due_json import ASK_SCHEMA, ask_json, closed, listed
from evenfire.delivery.report.history_answer import ControlHistory, ControlStands, History, HistoryPoint
from evenfire.delivery.report.outcome_json import Json
from evenfire.delivery.words import CAUTIONS
from evenfire.judgement.trip_test.drift import Drift, Follows
from evenfire.judgement.trip_test.stretches import Began
from evenfire.judgement.trip_test.trip import TESTED, Verdict
from evenfire.plant.known import Missing

FORMAT: Final = "evenfire.history/1"


def history_json(history: History) -> str:
    """One JSON document."""
    boiler = history.boiler
    document: dict[str, Json] = {
        "format": FORMAT,
        "boiler": {"id": boiler.id, "site": boiler.site.name, "name": boiler.name},
        "today": history.today.isoformat(),
        "exit_code": history.ending.value,
        "signed_visits": history.visits,
        "does_not_verify": history.not_verified,
        "without_survey": history.without_survey,
        "unread_records": list(history.unread),
        "controls": [_control(each) for each in history.controls],
        "cautions": list(CAUTIONS),
    }
    return json.dumps(document, indent=2, ensure_ascii=True, allow_nan=False)


def _control(control: ControlHistory) -> dict[str, Json]:
    drift = control.drift
    return {
        "control": control.role.value,
        "serial": control.serial,
        "before": control.before or None,
        "stands": control.stands.value,
        "dial_moved_since": control.is_moved,
        "do": phrases.to_do(control),
        "missing": list(drift.keys) if isinstance(drift, Missing) else [],
        "drift": None if isinstance(drift, Missing) else _drift(drift),
        "asked": None if control.asked is None else ask_json(control.asked),
        "due_as_asked": None if control.due_as_asked is None else control.due_as_asked.isoformat(),
        "due_at_once": control.is_due_at_once,
        "next_due": None if control.next_due is None else control.next_due.isoformat(),
        "tests": [_point(each) for each in control.points],
    }


def _drift(drift: Drift) -> dict[str, Json]:
    return {
        "a_year_pa": drift.a_year,
        "a_year_lowest_pa": drift.a_year_lowest,
        "a_year_highest_pa": drift.a_year_highest,
        "standard_uncertainty_pa": drift.standard_uncertainty,
        "degrees_of_freedom": drift.degrees_of_freedom,
        "is_shown": drift.is_shown,
        "last_error_pa": drift.last_error,
        "leaves_above": None if drift.leaves_above is None else drift.leaves_above.isoformat(),
        "leaves_below": None if drift.leaves_below is None else drift.leaves_below.isoformat(),
        "follows": drift.follows.value,
        "next_due": drift.next_due.isoformat(),
    }


def _point(point: HistoryPoint) -> dict[str, Json]:
    return {
        "record": point.record,
        "signer": point.signer,
        "signer_is_known": point.is_known,
        "on": point.on.isoformat(),
        "method": point.method,
        "verdict": None if point.verdict is None else point.verdict.value,
        "dial_pa_gauge": point.dial,
        "set_pa_gauge": point.set_pressure,
        "within_pa": point.band,
        "trip_pa_gauge": point.trip,
        "set_error_pa": point.set_error,
        "standard_uncertainty_pa": point.standard_uncertainty,
        "expanded_uncertainty_pa": point.expanded_uncertainty,
        "stretch": point.stretch,
        "began": point.began.value,
        "other_aim": point.is_other_aim,
        "counts_for_drift": point.is_measured,
        "amendments": [
            {
                "record": each.record,
                "signer": each.signer,
                "signed_at": each.signed_at.strftime("%Y-%m-%dT%H:%M:%SZ"),
                "text": each.text,
            }
            for each in point.amendments
        ],
    }


_TEXT: Final[dict[str, Json]] = {"type": "string"}
_TEXT_OR_NULL: Final[dict[str, Json]] = {"type": ["string", "null"]}
_DAY: Final[dict[str, Json]] = {"type": "string", "format": "date"}
_NUMBER: Final[dict[str, Json]] = {"type": "number"}
_NUMBER_OR_NULL: Final[dict[str, Json]] = {"type": ["number", "null"]}
_FLAG: Final[dict[str, Json]] = {"type": "boolean"}
_COUNT: Final[dict[str, Json]] = {"type": "integer", "minimum": 0}


def _or_null(schema: Json) -> dict[str, Json]:
    return {"oneOf": [{"type": "null"}, schema]}


_DRIFT: Final = closed(
    {
        "a_year_pa": _NUMBER,
        "a_year_lowest_pa": _NUMBER,
        "a_year_highest_pa": _NUMBER,
        "standard_uncertainty_pa": _NUMBER,
        "degrees_of_freedom": _COUNT,
        "is_shown": _FLAG,
        "last_error_pa": _NUMBER,
        "leaves_above": _or_null(_DAY),
        "leaves_below": _or_null(_DAY),
        "follows": {"enum": [each.value for each in Follows]},
        "next_due": _DAY,
    }
)
_TEST: Final = closed(
    {
        "record": _TEXT,
        "signer": _TEXT,
        "signer_is_known": _FLAG,
        "on": _DAY,
        "method": _TEXT,
        "verdict": {"enum": [None, *(each.value for each in Verdict)]},
        "dial_pa_gauge": _NUMBER_OR_NULL,
        "set_pa_gauge": _NUMBER_OR_NULL,
        "within_pa": _NUMBER_OR_NULL,
        "trip_pa_gauge": _NUMBER_OR_NULL,
        "set_error_pa": _NUMBER_OR_NULL,
        "standard_uncertainty_pa": _NUMBER_OR_NULL,
        "expanded_uncertainty_pa": _NUMBER_OR_NULL,
        "stretch": _COUNT,
        "began": {"enum": [each.value for each in Began]},
        "other_aim": _FLAG,
        "counts_for_drift": _FLAG,
        "amendments": listed(closed({"record": _TEXT, "signer": _TEXT, "signed_at": _TEXT, "text": _TEXT})),
    }
)
_CONTROL: Final = closed(
    {
        "control": {"enum": [each.value for each in TESTED]},
        "serial": _TEXT,
        "before": _TEXT_OR_NULL,
        "stands": {"enum": [each.value for each in ControlStands]},
        "dial_moved_since": _FLAG,
        "do": _TEXT,
        "missing": listed(_TEXT),
        "drift": _or_null(_DRIFT),
        "asked": _or_null(ASK_SCHEMA),
        "due_as_asked": _or_null(_DAY),
        "due_at_once": _FLAG,
        "next_due": _or_null(_DAY),
        "tests": listed(_TEST),
    }
)
HISTORY_SCHEMA: Final[dict[str, Json]] = {
    "$schema": "https://json-schema.org/draft/2020-12/schema",
    "title": "Answer of evenfire history",
    **closed(
        {
            "format": {"const": FORMAT},
            "boiler": closed({"id": _TEXT, "site": _TEXT, "name": _TEXT}),
            "today": _DAY,
            "exit_code": {"enum": [0, 1, 4, 5]},
            "signed_visits": _COUNT,
            "does_not_verify": _TEXT,
            "without_survey": _TEXT,
            "unread_records": listed(_TEXT),
            "controls": listed(_CONTROL),
            "cautions": {"type": "array", "items": _TEXT, "minItems": 1},
        }
    ),
}
