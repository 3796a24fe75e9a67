"""What comes due as JSON, format ``evenfire.due/1``, and its schema."""

import json
from typing import Final

from evenfire.delivery.report import due_phrases as phrases
from evenfire.delivery.report.due_answer import Ask, Done, DueList, DueRow, Told, Urgency
from evenfire.delivery.report.outcome_json import Json
from evenfire.delivery.words import CAUTIONS
from evenfire.judgement.trip_test.due import Interval

FORMAT: Final = "evenfire.due/1"


def due_json(due: DueList) -> str:
    """One JSON document."""
    document: dict[str, Json] = {
        "format": FORMAT,
        "store": due.store,
        "today": due.today.isoformat(),
        "until": None if due.until is None else due.until.isoformat(),
        "exit_code": 0,
        "boilers": due.boilers,
        "rows": [_row(each, due) for each in due.rows],
        "later": due.later,
        "not_listed": [
            {"boiler": each.boiler.id, "why": each.why, "items": [item.value for item in each.items]}
            for each in due.not_listed
        ],
        "signed_by_unknown_keys": [{"boiler": each.boiler.id, "visits": each.visits} for each in due.not_counted],
        "does_not_verify": [{"boiler": each.boiler.id, "why": each.why} for each in due.not_verified],
        "unread_records": [{"boiler": each.boiler.id, "record": each.record} for each in due.unread],
        "open_visits": [
            {"boiler": each.boiler.id, "visit": each.visit, "since": each.since.isoformat()} for each in due.open_visits
        ],
        "out_of_service": [{"boiler": each.boiler.id, "since": each.since.isoformat()} for each in due.out_of_service],
        "cautions": list(CAUTIONS),
    }
    return json.dumps(document, indent=2, ensure_ascii=True, allow_nan=False)


def ask_json(ask: Ask) -> dict[str, Json]:
    """Who asks for it, and how often."""
    return {
        "whose": ask.whose,
        "source": ask.source or None,
        "from_memory": ask.is_from_memory,
        **interval_json(ask.every),
    }


def interval_json(every: Interval) -> dict[str, Json]:
    """Days or months, one of the two."""
    return {"every_days": every.days, "every_months": every.months}


def _row(row: DueRow, due: DueList) -> dict[str, Json]:
    boiler = row.boiler
    return {
        "key": row.key,
        "state": row.urgency.value,
        "on": row.on.isoformat(),
        "due": None if row.due is None else row.due.isoformat(),
        "days_late": phrases.days_late(row, due.today.toordinal()),
        "boiler": None if boiler is None else {"id": boiler.id, "site": boiler.site.name, "name": boiler.name},
        "item": row.item,
        "part": row.part,
        "in_calendar": row.calendar is not None,
        "round": row.is_round,
        "last": None if row.last is None else _done(row.last),
        "failed": None if row.failed is None else _done(row.failed),
        "dial_moved_since": row.is_moved,
        "used": ask_json(row.asks[0]),
        "others": [ask_json(each) for each in row.asks[1:]],
        "sources_conflict": row.codes_differ,
        "do": phrases.to_do(row),
    }


def _done(done: Done) -> dict[str, Json]:
    return {
        "on": done.on.isoformat(),
        "known_from": done.told.value,
        "result": done.result,
        "record": done.record or None,
    }


_TEXT: Final[dict[str, Json]] = {"type": "string"}
_TEXT_OR_NULL: Final[dict[str, Json]] = {"type": ["string", "null"]}
_DAY: Final[dict[str, Json]] = {"type": "string", "format": "date", "pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}$"}
_DAY_OR_NULL: Final[dict[str, Json]] = {"oneOf": [{"type": "null"}, _DAY]}
_FLAG: Final[dict[str, Json]] = {"type": "boolean"}
_COUNT: Final[dict[str, Json]] = {"type": "integer", "minimum": 0}
_COUNT_OR_NULL: Final[dict[str, Json]] = {"type": ["integer", "null"], "minimum": 1}


def closed(properties: dict[str, Json]) -> dict[str, Json]:
    """The schema of an object with these keys and no others."""
    return {
        "type": "object",
        "properties": properties,
        "required": list(properties),
        "additionalProperties": False,
    }


def listed(items: Json) -> dict[str, Json]:
    """The schema of a list."""
    return {"type": "array", "items": items}


ASK_SCHEMA: Final = closed(
    {
        "whose": _TEXT,
        "source": _TEXT_OR_NULL,
        "from_memory": _FLAG,
        "every_days": _COUNT_OR_NULL,
        "every_months": _COUNT_OR_NULL,
    }
)
_DONE: Final = closed(
    {"on": _DAY, "known_from": {"enum": [each.value for each in Told]}, "result": _TEXT, "record": _TEXT_OR_NULL}
)
_ROW: Final = closed(
    {
        "key": _TEXT,
        "state": {"enum": [each.value for each in Urgency]},
        "on": _DAY,
        "due": _DAY_OR_NULL,
        "days_late": _COUNT,
        "boiler": {"oneOf": [{"type": "null"}, closed({"id": _TEXT, "site": _TEXT, "name": _TEXT})]},
        "item": _TEXT,
        "part": _TEXT,
        "in_calendar": _FLAG,
        "round": _FLAG,
        "last": {"oneOf": [{"type": "null"}, _DONE]},
        "failed": {"oneOf": [{"type": "null"}, _DONE]},
        "dial_moved_since": _FLAG,
        "used": ASK_SCHEMA,
        "others": listed(ASK_SCHEMA),
        "sources_conflict": _FLAG,
        "do": _TEXT,
    }
)
DUE_SCHEMA: Final[dict[str, Json]] = {
    "$schema": "https://json-schema.org/draft/2020-12/schema",
    "title": "Answer of evenfire due",
    **closed(
        {
            "format": {"const": FORMAT},
            "store": _TEXT,
            "today": _DAY,
            "until": _DAY_OR_NULL,
            "exit_code": {"const": 0},
            "boilers": _COUNT,
            "rows": listed(_ROW),
            "later": _COUNT,
            "not_listed": listed(closed({"boiler": _TEXT, "why": _TEXT, "items": listed(_TEXT)})),
            "signed_by_unknown_keys": listed(closed({"boiler": _TEXT, "visits": _COUNT})),
            "does_not_verify": listed(closed({"boiler": _TEXT, "why": _TEXT})),
            "unread_records": listed(closed({"boiler": _TEXT, "record": _TEXT})),
            "open_visits": listed(closed({"boiler": _TEXT, "visit": _TEXT, "since": _DAY})),
            "out_of_service": listed(closed({"boiler": _TEXT, "since": _DAY})),
            "cautions": {"type": "array", "items": _TEXT, "minItems": 1},
        }
    ),
}
