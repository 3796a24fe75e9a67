"""JSON Schema of how a visit stands; its ``body`` is what a signature seals, and holds no floating-point number."""

from typing import Final

from evenfire.delivery.report.outcome_json import Json
from evenfire.delivery.report.visit_json import FORMAT
from evenfire.delivery.visits.fields import DIALS, Service
from evenfire.delivery.visits.standing import Bar, Flag
from evenfire.judgement.trip_test.devices import DeviceVerdict
from evenfire.judgement.trip_test.trip import Caution, Verdict

_TEXT: Final[dict[str, Json]] = {"type": "string"}
_COUNT: Final[dict[str, Json]] = {"type": "integer", "minimum": 0}
_HASH: Final[dict[str, Json]] = {"type": "string", "pattern": "^[0-9a-f]{64}$"}
_NUMBER_TEXT: Final[dict[str, Json]] = {"type": "string", "pattern": "^(-?[0-9]+([.][0-9]+)?)?$"}
"""Decimal text; empty where there is none."""
_WALL_CLOCK: Final[dict[str, Json]] = {"type": "string", "pattern": "^([0-9]{4}-[0-9]{2}-[0-9]{2} [0-9]{2}:[0-9]{2})?$"}
_UTC: Final[dict[str, Json]] = {"type": "string", "pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9:.]+Z$"}
_YES_NO: Final[dict[str, Json]] = {"enum": ["", "yes", "no"]}


def _object(properties: dict[str, Json], *, optional: tuple[str, ...] = ()) -> dict[str, Json]:
    return {
        "type": "object",
        "properties": properties,
        "required": [name for name in properties if name not in optional],
        "additionalProperties": False,
    }


def _array(items: Json) -> dict[str, Json]:
    return {"type": "array", "items": items}


def _one_of(*values: Json) -> dict[str, Json]:
    return {"enum": list(values)}


_DIAL: Final[dict[str, Json]] = {
    "type": "object",
    "properties": {"text": _TEXT, "si_pa_gauge": _NUMBER_TEXT, "si_pa": _NUMBER_TEXT},
    "required": ["text"],
    "minProperties": 2,
    "additionalProperties": False,
}
_SETTINGS: Final = _object(dict.fromkeys(DIALS, _DIAL), optional=tuple(DIALS))
_OUTCOME: Final = _object(
    {
        "code": _TEXT,
        "outcome": _one_of("finding", "clear", "not judged"),
        "severity": _one_of("stop", "warn", "advise"),
        "subject": _TEXT,
        "name": _TEXT,
        "said": _TEXT,
    },
    optional=("said",),
)
_COMPONENT: Final = _object(
    {
        "origin": _TEXT,
        "kind": _TEXT,
        "shape": _TEXT,
        "half_width": _NUMBER_TEXT,
        "standard_uncertainty_pa": _NUMBER_TEXT,
        "degrees_of_freedom": _NUMBER_TEXT,
    }
)
_ABORT: Final = _object(
    {
        "on_gauge_pa_gauge": _NUMBER_TEXT,
        "at_boiler_pa_gauge": _NUMBER_TEXT,
        "must_not_be_made_short_by_pa": _NUMBER_TEXT,
        "scale_ends_at_pa_gauge": _NUMBER_TEXT,
    },
    optional=(
        "on_gauge_pa_gauge",
        "at_boiler_pa_gauge",
        "must_not_be_made_short_by_pa",
        "scale_ends_at_pa_gauge",
    ),
)
_TRIP: Final = _object(
    {
        "row": _COUNT,
        "on": _TEXT,
        "control": _one_of("", "high_limit", "operating_limit"),
        "serial": _TEXT,
        "method": _one_of("", "true rise", "setting turned down"),
        "gauge": _TEXT,
        "certificate": _TEXT,
        "at_the_stop": _TEXT,
        "set_pa_gauge": _NUMBER_TEXT,
        "within_pa": _NUMBER_TEXT,
        "other_aim": _YES_NO,
        "dial_pa_gauge": _NUMBER_TEXT,
        "abort": _ABORT,
        "readings": _array(_object({"shown_pa_gauge": _NUMBER_TEXT, "burner_off_s": _NUMBER_TEXT})),
        "rise_in_ten_seconds_pa": _NUMBER_TEXT,
        "at_low_fire": _YES_NO,
        "opened": _YES_NO,
        "stopped_by_hand_pa_gauge": _NUMBER_TEXT,
        "early_reset_took": _YES_NO,
        "held_until_reset": _YES_NO,
        "restarted_at_pa_gauge": _NUMBER_TEXT,
        "verdict": _one_of(*(each.value for each in Verdict)),
        "also": _array(_one_of(*(each.value for each in Verdict))),
        "trip_pa_gauge": _NUMBER_TEXT,
        "highest_seen_pa_gauge": _NUMBER_TEXT,
        "proved": _object(
            {"trip_pa_gauge": _NUMBER_TEXT, "tolerance_pa": _NUMBER_TEXT, "differential_pa": _NUMBER_TEXT},
            optional=("trip_pa_gauge", "tolerance_pa", "differential_pa"),
        ),
        "budget": _array(_COMPONENT),
        "standard_uncertainty_pa": _NUMBER_TEXT,
        "degrees_of_freedom": _NUMBER_TEXT,
        "expanded_uncertainty_pa": _NUMBER_TEXT,
        "coverage_factor": _NUMBER_TEXT,
        "guard_above_pa": _NUMBER_TEXT,
        "probability_below_upper": _NUMBER_TEXT,
        "probability_within": _NUMBER_TEXT,
        "missing": _array(_TEXT),
        "cautions": _array(_one_of(*(each.value for each in Caution))),
        "assumptions": _array(_TEXT),
        "note": _TEXT,
        "most_pa_gauge": _NUMBER_TEXT,
        "passes_up_to_pa_gauge": _NUMBER_TEXT,
    },
    optional=("most_pa_gauge", "passes_up_to_pa_gauge"),
)
_DEVICE: Final = _object(
    {
        "row": _COUNT,
        "device": _TEXT,
        "valve": _TEXT,
        "works": _YES_NO,
        "took_s": _NUMBER_TEXT,
        "at_pa_gauge": _NUMBER_TEXT,
        "verdict": _one_of("", *(each.value for each in DeviceVerdict)),
        "basis": _TEXT,
        "passes": _object(
            {"lowest_pa_gauge": _NUMBER_TEXT, "highest_pa_gauge": _NUMBER_TEXT, "highest_s": _NUMBER_TEXT},
            optional=("lowest_pa_gauge", "highest_pa_gauge", "highest_s"),
        ),
        "missing": _array(_TEXT),
        "note": _TEXT,
    }
)
_PROOF: Final = _object(
    {
        "scenario": _TEXT,
        "verdict": _TEXT,
        "missing": _array(_TEXT),
        "checks": _array(
            _object(
                {
                    "watched": _TEXT,
                    "holds": {"type": "boolean"},
                    "observed": _NUMBER_TEXT,
                    "limit": _NUMBER_TEXT,
                    "margin": _NUMBER_TEXT,
                    "dimension": _TEXT,
                }
            )
        ),
    },
    optional=("missing", "checks"),
)
_ENTRY: Final = _object(
    {
        "id": _TEXT,
        "path": _TEXT,
        "text": _TEXT,
        "unit": _TEXT,
        "si": _NUMBER_TEXT,
        "why_not": _TEXT,
        "author": _TEXT,
        "device": _TEXT,
        "at": _UTC,
        "based_on": _array(_TEXT),
    }
)
_TEMPORARY: Final = _object(
    {
        "what": _TEXT,
        "reason": _TEXT,
        "opened_by": _TEXT,
        "opened_at": _WALL_CLOCK,
        "closed_by": _TEXT,
        "closed_at": _WALL_CLOCK,
        "verified_by": _TEXT,
    }
)
_CORRECTED: Final = _object({"path": _TEXT, "was": _TEXT, "is": _TEXT, "by": _TEXT, "at": _UTC})
_LEFT: Final = _object(
    {
        "locked_out_by": _TEXT,
        "switch": _TEXT,
        "jumpers": {"oneOf": [{"type": "null"}, _array(_TEXT)]},
        "cycles_seen": {"oneOf": [{"type": "null"}, _COUNT]},
    }
)
VISIT_BODY_SCHEMA: Final = _object(
    {
        "visit": _object(
            {"id": _TEXT, "opened_at": _UTC, "opened_by": _TEXT, "survey": _HASH, "plant_revision": _HASH}
        ),
        "call": _object({"reason": _TEXT, "consent": _TEXT, "arrived": _WALL_CLOCK}),
        "service": _one_of("", *(each.value for each in Service)),
        "controls_proved": _array(_one_of("high_limit", "operating_limit")),
        "left": _LEFT,
        "flags": _array(_object({"flag": _one_of(*(each.value for each in Flag)), "said": _TEXT})),
        "settings": _object({"as_found": _SETTINGS, "proposed": _SETTINGS, "as_left": _SETTINGS}),
        "temporary_changes": _array(_TEMPORARY),
        "corrected": _array(_CORRECTED),
        "trip_tests": _array(_TRIP),
        "devices": _array(_DEVICE),
        "moves": _array(_object({"number": _COUNT, "words": _TEXT, "done_at": _WALL_CLOCK, "done_by": _TEXT})),
        "photographs": _array(_object({"hash": _HASH, "shows": _TEXT})),
        "notes": _array(_TEXT),
        "judged_as_found": _array(_OUTCOME),
        "judged_as_left": _array(_OUTCOME),
        "proved_as_left": _array(_PROOF),
        "assumptions": _array(_TEXT),
        "entries": _array(_ENTRY),
    }
)
"""Of the body of a signed visit as this version writes it."""
VISIT_SCHEMA: Final[dict[str, Json]] = {
    "$schema": "https://json-schema.org/draft/2020-12/schema",
    "title": "Answer of evenfire visit show",
    **_object(
        {
            "format": {"const": FORMAT},
            "site": _TEXT,
            "boiler": _TEXT,
            "visit": _TEXT,
            "is_open": {"type": "boolean"},
            "exit_code": _one_of(0, 1, 4),
            "stands_against_signing": _array(
                _object(
                    {
                        "bar": _one_of(*(each.value for each in Bar)),
                        "said": _TEXT,
                        "rows": _array(_COUNT),
                        "paths": _array(_TEXT),
                        "codes": _array(_TEXT),
                    }
                )
            ),
            "body": VISIT_BODY_SCHEMA,
            "cautions": {"type": "array", "items": {"type": "string"}, "minItems": 1},
        }
    ),
}
