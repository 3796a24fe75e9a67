"""JSON Schemas of the answers, published as files and held by a contract test."""

from typing import Final

from evenfire.delivery.report.outcome_json import Json

_DRAFT: Final = "https://json-schema.org/draft/2020-12/schema"
_TEXT: Final[dict[str, Json]] = {"type": "string"}
_NUMBER: Final[dict[str, Json]] = {"type": "number"}
_NUMBER_OR_NULL: Final[dict[str, Json]] = {"type": ["number", "null"]}
_FLAG: Final[dict[str, Json]] = {"type": "boolean"}
_TEXTS: Final[dict[str, Json]] = {"type": "array", "items": {"type": "string"}}
_UNITS: Final = (
    "pa_gauge|pa_abs|pa|k|k_s|kg|kg_s|w|j|j_per_pa|m3|m2|m|s|per_s|fraction"  # a plain number has no unit in its key
)
_MEASURED: Final = f"^(value|observed|limit|short_by|margin)(_({_UNITS}))?$"


def _object(properties: dict[str, Json], *, optional: tuple[str, ...] = (), pattern: str = "") -> dict[str, Json]:
    """A closed object: no key but these, and keys of that pattern, which hold numbers."""
    schema: dict[str, Json] = {
        "type": "object",
        "properties": properties,
        "required": [name for name in properties if name not in optional],
        "additionalProperties": False,
    }
    if pattern:
        schema["patternProperties"] = {pattern: _NUMBER}
    return schema


def _array(items: Json) -> dict[str, Json]:
    return {"type": "array", "items": items}


def _one_of(*values: Json) -> dict[str, Json]:
    return {"enum": list(values)}


_BASIS: Final = _one_of("published", "derived", "common practice", "from memory")
_TERM: Final = _object(
    {
        "name": _TEXT,
        "route": _one_of("measured", "computed", "assumed", "simulated", "stated"),
        "assumptions": _TEXTS,
    },
    pattern=_MEASURED,
)
_REMEDY: Final = _object(
    {"control": _TEXT, "dial": _one_of("main", "differential"), "change_pa": _NUMBER, "breaks": _TEXTS}
)
_HEAD: Final[dict[str, Json]] = {
    "code": _TEXT,
    "severity": _one_of("stop", "warn", "advise"),
    "basis": _BASIS,
    "subject": _object({"part": _TEXT, "name": _TEXT}),
    "what": _TEXT,
}
_OUTCOME: Final[dict[str, Json]] = {
    "oneOf": [
        _object(
            {
                **_HEAD,
                "outcome": {"const": "finding"},
                "terms": _array(_TERM),
                "remedies": _array(_REMEDY),
                "why": _TEXT,
                "do": _TEXT,
                "confirm": _TEXT,
            },
            pattern=_MEASURED,
        ),
        _object({**_HEAD, "outcome": {"const": "clear"}, "terms": _array(_TERM)}, pattern=_MEASURED),
        _object({**_HEAD, "outcome": {"const": "not judged"}, "missing": _TEXTS, "do": _TEXT}),
    ]
}
_STANDING: Final = _object(
    {
        "storage_j_per_pa": _NUMBER,
        "highest_normal_pa_gauge": _NUMBER,
        "lowest_after_restart_pa_gauge": _NUMBER,
        "firing_at_cut_out_fraction": _NUMBER,
        "most_starts_per_s": _NUMBER,
        "most_starts_at_fraction": _NUMBER,
        "most_starts_within_range": _FLAG,
    },
    optional=(
        "storage_j_per_pa",
        "highest_normal_pa_gauge",
        "lowest_after_restart_pa_gauge",
        "firing_at_cut_out_fraction",
        "most_starts_per_s",
        "most_starts_at_fraction",
        "most_starts_within_range",
    ),
)
_ASSUMPTION: Final = _object({"name": _TEXT, "keys": _TEXTS, "boiler": {"type": ["string", "null"]}}, pattern=_MEASURED)
_ROOM: Final = _object({"code": _TEXT, "room_pa": _NUMBER, "tolerance_pa": _NUMBER, "met": _FLAG})
_POINTS: Final = _object(
    {
        "high_fire_pa_gauge": _NUMBER_OR_NULL,
        "low_fire_pa_gauge": _NUMBER_OR_NULL,
        "cut_out_pa_gauge": _NUMBER_OR_NULL,
        "cut_in_pa_gauge": _NUMBER_OR_NULL,
        "high_limit_pa_gauge": _NUMBER_OR_NULL,
        "low_fire_hold_pa_gauge": _NUMBER_OR_NULL,
    }
)
_DIAL: Final = _object(
    {
        "control": _one_of("operating_limit", "high_limit", "firing_rate", "low_fire_hold"),
        "main_pa_gauge": _NUMBER,
        "differential_pa": _NUMBER_OR_NULL,
        "to_be_proved": _FLAG,
        "tolerance_pa": _NUMBER_OR_NULL,
    }
)
_CURE: Final = _object(
    {
        "conflict": {"type": "integer", "minimum": 0},
        "kind": _TEXT,
        "controls": _TEXTS,
        "do": _TEXT,
    },
    pattern=f"^(before|after)(_({_UNITS}))?$",
)
_POINT_MOVE: Final = _object(
    {"point": _TEXT, "from_pa_gauge": _NUMBER_OR_NULL, "to_pa_gauge": _NUMBER_OR_NULL},
)
_TEXT_OR_NULL: Final[dict[str, Json]] = {"type": ["string", "null"]}
_MOVE: Final = _object(
    {
        "step": {"type": "integer", "minimum": 1},
        "kind": _TEXT,
        "control": _TEXT_OR_NULL,
        "dial": _TEXT_OR_NULL,
        "direction": _TEXT_OR_NULL,
        "from_pa_gauge": _NUMBER_OR_NULL,
        "to_pa_gauge": _NUMBER_OR_NULL,
        "from_pa": _NUMBER_OR_NULL,
        "to_pa": _NUMBER_OR_NULL,
        "to_be_proved": {"type": ["boolean", "null"]},
        "points": _array(_POINT_MOVE),
        "swept_from_pa_gauge": _NUMBER_OR_NULL,
        "swept_to_pa_gauge": _NUMBER_OR_NULL,
        "burner": _TEXT_OR_NULL,
        "burner_after": _TEXT_OR_NULL,
        "acts_at_pa_gauge": _NUMBER_OR_NULL,
        "returns_at_pa_gauge": _NUMBER_OR_NULL,
        "within_pa": _NUMBER_OR_NULL,
        "stop_by_hand_pa_gauge": _NUMBER_OR_NULL,
        "reason": _TEXT_OR_NULL,
        "codes": _TEXTS,
        "missing": _TEXTS,
        "watch": _TEXT_OR_NULL,
        "see": _TEXT_OR_NULL,
        "why": _TEXT_OR_NULL,
        "do": _TEXT,
    }
)
_CHOSEN: Final[dict[str, Json]] = {
    "settings": _POINTS,
    "dials": _array(_DIAL),
    "margins": _array(_ROOM),
    "not_judged": _array(_object({"code": _TEXT, "missing": _TEXTS})),
    "standing": _STANDING,
    "outcomes": _array(_OUTCOME),
}


_PROOF_CHECK: Final = _object(
    {"watched": _TEXT, "holds": _FLAG, "basis": _BASIS, "at_s": _NUMBER_OR_NULL, "run": _TEXT}, pattern=_MEASURED
)
_VERDICT: Final = _one_of("fails", "not proved", "warns", "holds", "told", "not applicable")
_ROUND: Final = _object(
    {
        "run_on_at_cut_out_pa": _NUMBER,
        "run_on_at_full_fire_pa": _NUMBER,
        "undershoot_pa": _NUMBER,
        "drop_overshoot_pa": _NUMBER,
        "load_fall_pa": _NUMBER,
        "lowest_under_load_pa_gauge": _NUMBER_OR_NULL,
        "short": _TEXTS,
        "failed": _TEXTS,
    }
)
_MOTION: Final = _object(
    {
        "rounds": {"type": "integer", "minimum": 0},
        "history": _array(_ROUND),
        "lessons": _array(_object({"name": _TEXT, "closed_form_pa": _NUMBER, "simulated_pa": _NUMBER})),
        "still_short": _TEXTS,
        "failing": _TEXTS,
        "missing": _TEXTS,
        "proofs": _array(
            _object(
                {
                    "scenario": _TEXT,
                    "verdict": _VERDICT,
                    "unsafe": _FLAG,
                    "narrowest": {"oneOf": [{"type": "null"}, _PROOF_CHECK]},
                    "missing": _TEXTS,
                }
            )
        ),
    }
)
_SPAN: Final = _object(
    {
        "from_k": _NUMBER,
        "to_k": _NUMBER,
        "low_fire_rate_k_s": _NUMBER,
        "how": _one_of("steadily", "by the clock", "not at all"),
        "minutes_on": _NUMBER_OR_NULL,
        "minutes_off": _NUMBER_OR_NULL,
    }
)
_WALL: Final = _object(
    {"run": _TEXT, "difference_k": _NUMBER, "stress_pa": _NUMBER, "steady_stress_pa": _NUMBER, "at_s": _NUMBER}
)
_PROOF: Final = _object(
    {
        "scenario": _TEXT,
        "verdict": _VERDICT,
        "unsafe": _FLAG,
        "what": _TEXT,
        "found": _TEXTS,
        "do": _TEXT,
        "checks": _array(_PROOF_CHECK),
        "facts": _array(_object({"found": _TEXT, "run": _TEXT, "what": _TEXT}, pattern=_MEASURED)),
        "schedules": _array(_object({"run": _TEXT, "spans": _array(_SPAN)})),
        "walls": _array(_WALL),
        "missing": _TEXTS,
    }
)


def _document(name: str, title: str, boiler: Json, more: dict[str, Json]) -> dict[str, Json]:
    properties: dict[str, Json] = {
        "format": {"const": name},
        "site": _TEXT,
        "plant_revision": {"type": "string", "pattern": "^[0-9a-f]{64}$"},
        "engine_version": _TEXT,
        "rule_book_version": _TEXT,
        "exit_code": _one_of(0, 1, 3, 4),
        "boilers": {"type": "array", "items": boiler, "minItems": 1},
        "assumptions": _array(_ASSUMPTION),
        "cautions": {"type": "array", "items": {"type": "string"}, "minItems": 1},
        **more,
    }
    return {"$schema": _DRAFT, "title": title, **_object(properties)}


CHECK_SCHEMA: Final = _document(
    "evenfire.check/1",
    "Answer of evenfire check",
    _object(
        {
            "name": _TEXT,
            "settings": _one_of("as found", "proposed", "as left"),
            "proposal_is_stale": _FLAG,
            "outcomes": {"type": "array", "items": _OUTCOME, "minItems": 1},
            "standing": _STANDING,
        }
    ),
    {"unfilled_lines": {"type": "array", "items": {"type": "integer"}}},
)
SETTLE_SCHEMA: Final = _document(
    "evenfire.settle/1",
    "Answer of evenfire settle",
    _object(
        {
            "name": _TEXT,
            "feasible": {"type": ["boolean", "null"]},
            "combinations": _NUMBER_OR_NULL,
            **_CHOSEN,
            "settings": {"oneOf": [{"type": "null"}, _POINTS]},
            "standing": {"oneOf": [{"type": "null"}, _STANDING]},
            "moves": _array(_MOVE),
            "trade": _array(_object({"lowest_pa_gauge": _NUMBER, "starts_per_s": _NUMBER})),
            "pulls": _array(_object({"code": _TEXT, "key": _TEXT, "change_pa": _NUMBER})),
            "failing": _array(_ROOM),
            "conflicts": _array(_TEXTS),
            "cures": _array(_CURE),
            "fallback": {"oneOf": [{"type": "null"}, _object(_CHOSEN)]},
            "missing": _TEXTS,
            "motion": {"oneOf": [{"type": "null"}, _MOTION]},
        }
    ),
    {},
)
PROVE_SCHEMA: Final = _document(
    "evenfire.prove/1",
    "Answer of evenfire prove",
    _object(
        {
            "name": _TEXT,
            "settings": _one_of("as found", "proposed", "as left"),
            "proposal_is_stale": _FLAG,
            "proofs": {"type": "array", "items": _PROOF, "minItems": 1},
        }
    ),
    {"unfilled_lines": {"type": "array", "items": {"type": "integer"}}, "physics_version": _TEXT},
)
_INTEGER: Final[dict[str, Json]] = {"type": "integer", "minimum": 0}
_IDENTITY: Final[dict[str, Json]] = {"type": "string", "pattern": "^[0-9a-f]{64}$"}
_UNFILLED: Final[dict[str, Json]] = {"type": "array", "items": {"type": "integer"}}
_CHANCE: Final[dict[str, Json]] = {"type": "number", "minimum": 0, "maximum": 1}
_CHANCES: Final = _object(
    {
        "question": _TEXT,
        "weight": _one_of("likely", "unsure", "rare", "unseen"),
        "probability_fraction": _CHANCE,
        "lowest_fraction": _CHANCE,
        "highest_fraction": _CHANCE,
        "standard_error_fraction": _CHANCE,
        "none_seen": _FLAG,
        "draws": _INTEGER,
        "sure": _INTEGER,
        "near": _INTEGER,
        "rerun": _INTEGER,
        "seen": _INTEGER,
        "corrected": _INTEGER,
        "failed": _INTEGER,
        "outgrown": _INTEGER,
        "furthest_apart_pa": _NUMBER,
        "what": _TEXT,
        "from": _TEXT,
        "do": _TEXT,
    }
)
_CONTROL_SPREAD: Final[dict[str, Json]] = {
    "oneOf": [{"type": "null"}, _object({"set_error_pa": _NUMBER, "drift_pa": _NUMBER})]
}
_SPREAD: Final = _object(
    {
        "operating_limit": _CONTROL_SPREAD,
        "high_limit": _CONTROL_SPREAD,
        "firing_rate": _CONTROL_SPREAD,
        "valves": _array(_object({"lift_pa_gauge": _NUMBER, "off_pa": _NUMBER})),
    }
)
_BOILER_ODDS: Final = _object(
    {
        "name": _TEXT,
        "settings": _one_of("as found", "proposed", "as left"),
        "proposal_is_stale": _FLAG,
        "complete": _FLAG,
        "draws": _INTEGER,
        "rows": _TEXT,
        "identity": _IDENTITY,
        "route": _one_of("simulated", "computed"),
        "missing": _TEXTS,
        "confidence_fraction": _CHANCE,
        "answers": _array(_CHANCES),
        "not_judged": _array(_object({"question": _TEXT, "missing": _TEXTS})),
        "spread": {"oneOf": [{"type": "null"}, _SPREAD]},
        "assumed": _TEXTS,
    }
)
ODDS_SCHEMA: Final = _document(
    "evenfire.odds/1",
    "Answer of evenfire odds",
    _BOILER_ODDS,
    {
        "boilers": _array(_BOILER_ODDS),
        "unfilled_lines": _UNFILLED,
        "physics_version": _TEXT,
        "seed": _INTEGER,
        "draws_asked": _INTEGER,
        "most_reruns": _INTEGER,
        "stopped": _FLAG,
        "not_begun": _TEXTS,
    },
)
_STAKE: Final = _one_of("safety", "verdict", "amount", "nothing")
_HELP: Final[dict[str, Json]] = {
    "measurement": _TEXT,
    "name": _TEXT,
    "keys": _TEXTS,
    "before_pa": _NUMBER,
    "after_pa": _NUMBER,
}
_PULL: Final = _object(
    {
        "key": _TEXT,
        "origin": _one_of("surveyed", "assumed", "measured"),
        "higher_pa": _NUMBER,
        "lower_pa": _NUMBER,
    },
    pattern=f"^doubt(_({_UNITS}))$",
)
MEASURE_SCHEMA: Final = _document(
    "evenfire.measure/1",
    "Answer of evenfire measure",
    _object(
        {
            "name": _TEXT,
            "settings": _one_of("as found", "proposed", "as left"),
            "proposal_is_stale": _FLAG,
            "identity": _IDENTITY,
            "route": _one_of("simulated", "computed"),
            "missing": _TEXTS,
            "measure_first": {
                "oneOf": [
                    {"type": "null"},
                    _object({"code": _TEXT, "stake": _STAKE, **_HELP, "do": _TEXT, "why": _TEXT, "write": _TEXT}),
                ]
            },
            "margins": _array(
                _object(
                    {
                        "code": _TEXT,
                        "stake": _STAKE,
                        "room_pa": _NUMBER,
                        "doubt_pa": _NUMBER,
                        "what": _TEXT,
                        "pulls": _array(_PULL),
                        "helps": _array(_object(_HELP)),
                    }
                )
            ),
            "not_judged": _array(_object({"code": _TEXT, "missing": _TEXTS})),
            "not_varied": _TEXTS,
            "assumed": _TEXTS,
        }
    ),
    {"unfilled_lines": _UNFILLED, "physics_version": _TEXT},
)
_EXTREME: Final = _object({"pressure_pa_gauge": _NUMBER, "time_s": _NUMBER})
_STOPPED_BY: Final = _one_of("lockout", "no power", "high limit", "low water", "operating limit", "nothing")
_LOAD: Final = _object(
    {
        "stated_by": _one_of("plant file", "command", "nobody", "stop valve shut"),
        "file": _TEXT_OR_NULL,
        "shape": _one_of("constant", "steps", "daily", "batches"),
        "pieces": _array(_object({"for_s": _NUMBER_OR_NULL, "steam_kg_s": _NUMBER})),
        "output_kg_s": _NUMBER,
    }
)
_ASKED: Final = _object(
    {
        "duration_s": _NUMBER,
        "begins": _one_of("at work", "cold", "at pressure"),
        "begins_pa_gauge": _NUMBER_OR_NULL,
        "load": _LOAD,
        "faults": _array(
            _object({"fault": _TEXT, "begin_s": _NUMBER, "end_s": _NUMBER_OR_NULL, "amount_pa": _NUMBER_OR_NULL})
        ),
        "resets_s": _array(_NUMBER),
    }
)
_BROKE_OFF: Final = _object({"why": _TEXT, "time_s": _NUMBER, "pressure_pa_gauge": _NUMBER, "contents_kg": _NUMBER})
_NEED: Final = _object(
    {
        "need_pa_gauge": _NUMBER,
        "reached_s": _NUMBER_OR_NULL,
        "lowest_since": _EXTREME,
        "below_s": _NUMBER,
        "longest_below_s": _NUMBER,
        "more_than_allowed": _FLAG,
    }
)
_EVENT: Final = _object(
    {
        "kind": _TEXT,
        "what": _TEXT,
        "time_s": _NUMBER,
        "pressure_pa_gauge": _NUMBER,
        "rising": _FLAG,
        "firing_fraction": _NUMBER,
    }
)
_CYCLE: Final = _object(
    {
        "off_s": _NUMBER,
        "called_s": _NUMBER,
        "lit_s": _NUMBER,
        "stopped_s": _NUMBER,
        "stopped_by": _STOPPED_BY,
        "lowest_pa_gauge": _NUMBER,
        "firing_at_stop_fraction": _NUMBER,
    }
)
_STOPS: Final = _object(
    {
        "by": _STOPPED_BY,
        "count": {"type": "integer", "minimum": 1},
        "first_s": _NUMBER,
        "last_s": _NUMBER,
        "fires_again_s": _NUMBER_OR_NULL,
    }
)
_SERIES: Final = _object(
    {
        "time_s": _array(_NUMBER),
        "pressure_pa_gauge": _array(_NUMBER_OR_NULL),
        "firing_fraction": _array(_NUMBER_OR_NULL),
        "heat_w": _array(_NUMBER_OR_NULL),
        "steam_kg_s": _array(_NUMBER_OR_NULL),
        "relieved_kg_s": _array(_NUMBER_OR_NULL),
        "feed_kg_s": _array(_NUMBER_OR_NULL),
        "water_m3": _array(_NUMBER_OR_NULL),
        "drive_fraction": _array(_NUMBER_OR_NULL),
        "phase": _TEXTS,
    }
)
_RUN: Final = _object(
    {
        "identity": {"type": "string", "pattern": "^[0-9a-f]{64}$"},
        "duration_s": _NUMBER,
        "held_by": _one_of("firing rate", "operating limit", "high limit", "safety valves", "nothing"),
        "allowed_pa_gauge": _NUMBER,
        "margin_pa": _NUMBER,
        "highest": _EXTREME,
        "lowest": _EXTREME,
        "need": {"oneOf": [{"type": "null"}, _NEED]},
        "starts": _INTEGER,
        "starts_without_flame": _INTEGER,
        "most_starts_in_an_hour": _INTEGER,
        "stops": _array(_STOPS),
        "states": _array(_object({"state": _TEXT, "for_s": _NUMBER})),
        "held_at_low_fire_s": _NUMBER,
        "above_mawp_s": _NUMBER,
        "fuel_j": _NUMBER_OR_NULL,
        "fuel_cost": _NUMBER_OR_NULL,
        "currency": _TEXT_OR_NULL,
        "crossed": _object(
            {
                "heat_j": _NUMBER,
                "steam_kg": _NUMBER,
                "relieved_kg": _NUMBER,
                "feed_kg": _NUMBER,
                "lost_j": _NUMBER,
                "purged_j": _NUMBER,
            }
        ),
        "closure": _object({"mass_fraction": _NUMBER, "energy_fraction": _NUMBER}),
        "events": _array(_EVENT),
        "cycles": _array(_CYCLE),
        "series_is_thinned": _FLAG,
        "series": _SERIES,
    }
)
RUN_SCHEMA: Final[dict[str, Json]] = {
    "$schema": _DRAFT,
    "title": "Answer of evenfire run",
    **_object(
        {
            "format": {"const": "evenfire.run/1"},
            "site": _TEXT,
            "plant_revision": {"type": "string", "pattern": "^[0-9a-f]{64}$"},
            "engine_version": _TEXT,
            "rule_book_version": _TEXT,
            "physics_version": _TEXT,
            "exit_code": _one_of(0, 1, 4),
            "unfilled_lines": {"type": "array", "items": {"type": "integer"}},
            "boiler": _TEXT,
            "settings": _one_of("as found", "proposed", "as left"),
            "proposal_is_stale": _FLAG,
            "fuel": _TEXT_OR_NULL,
            "missing": _TEXTS,
            "asked": {"oneOf": [{"type": "null"}, _ASKED]},
            "broke_off": {"oneOf": [{"type": "null"}, _BROKE_OFF]},
            "run": {"oneOf": [{"type": "null"}, _RUN]},
            "assumptions": _array(_ASSUMPTION),
            "cautions": {"type": "array", "items": {"type": "string"}, "minItems": 1},
        }
    ),
}
