"""The answer of ``verify`` as JSON, format ``evenfire.verify/1``, and its schema."""

import json
from typing import Final

from evenfire.delivery.answers import Verified
from evenfire.delivery.records.record import TIME
from evenfire.delivery.records.verification import Flaw, Judged, Standing, Verification
from evenfire.delivery.report.outcome_json import Json
from evenfire.delivery.report.verify_text import flaw_words, standing_words

FORMAT: Final = "evenfire.verify/1"
_TEXT: Final[dict[str, Json]] = {"type": "string"}
_HASH: Final[dict[str, Json]] = {"type": "string", "pattern": "^[0-9a-f]{64}$"}
_TEXT_OR_NULL: Final[dict[str, Json]] = {"type": ["string", "null"]}
_TIME: Final[dict[str, Json]] = {"type": "string", "format": "date-time"}


def verify_json(done: Verified) -> str:
    """One JSON document."""
    document: dict[str, Json] = {
        "format": FORMAT,
        "file": done.file,
        "store": done.store,
        "exit_code": done.ending.value,
        "judged": done.judged.value,
        "given_keys": [{"file": key.file, "fingerprint": key.fingerprint} for key in done.given],
        "boilers": [_boiler(verification) for verification in done.verifications],
    }
    return json.dumps(document, indent=2, ensure_ascii=True, allow_nan=False)


def _boiler(verification: Verification) -> dict[str, Json]:
    return {
        "boiler": verification.boiler,
        "judged": verification.judged.value,
        "unchanged": verification.is_unchanged,
        "records": [
            {
                "id": told.id,
                "kind": told.kind,
                "signed_at": told.signed_at.strftime(TIME),
                "signer": told.signer,
                "site": told.site,
                "boiler": told.boiler,
            }
            for told in verification.records
        ],
        "heads": list(verification.heads),
        "problems": [_problem(verification, place) for place in range(len(verification.problems))],
        "signers": [
            {
                "record": signed.record,
                "name": signed.name,
                "fingerprint": signed.fingerprint,
                "standing": signed.standing.value,
                "known_as": signed.known_as or None,
                "what": standing_words(signed, 1).what,
                "do": standing_words(signed, 1).do,
            }
            for signed in verification.signers
        ],
        "lacking": list(verification.lacking),
    }


def _problem(verification: Verification, place: int) -> Json:
    problem = verification.problems[place]
    said = flaw_words(problem, verification)
    return {
        "flaw": problem.flaw.value,
        "record": problem.record or None,
        "other": problem.other or None,
        "place": problem.place or None,
        "found": problem.found or None,
        "what": said.what,
        "do": said.do,
    }


def _object(properties: dict[str, Json]) -> dict[str, Json]:
    return {
        "type": "object",
        "properties": properties,
        "required": list(properties),
        "additionalProperties": False,
    }


def _array(items: Json) -> dict[str, Json]:
    return {"type": "array", "items": items}


_RECORD: Final = _object(
    {
        "id": _TEXT,
        "kind": {"enum": ["visit", "amendment"]},
        "signed_at": _TIME,
        "signer": _TEXT,
        "site": _TEXT,
        "boiler": _TEXT,
    }
)
_PROBLEM: Final = _object(
    {
        "flaw": {"enum": [flaw.value for flaw in Flaw]},
        "record": _TEXT_OR_NULL,
        "other": _TEXT_OR_NULL,
        "place": _TEXT_OR_NULL,
        "found": _TEXT_OR_NULL,
        "what": _TEXT,
        "do": _TEXT,
    }
)
_SIGNER: Final = _object(
    {
        "record": _TEXT,
        "name": _TEXT,
        "fingerprint": _HASH,
        "standing": {"enum": [standing.value for standing in Standing]},
        "known_as": _TEXT_OR_NULL,
        "what": _TEXT,
        "do": _TEXT,
    }
)
_JUDGED: Final[dict[str, Json]] = {"enum": [judged.value for judged in Judged]}
VERIFY_SCHEMA: Final[dict[str, Json]] = {
    "$schema": "https://json-schema.org/draft/2020-12/schema",
    "title": "Answer of evenfire verify",
    **_object(
        {
            "format": {"const": FORMAT},
            "file": _TEXT_OR_NULL,
            "store": _TEXT_OR_NULL,
            "exit_code": {"enum": [0, 4, 5]},
            "judged": _JUDGED,
            "given_keys": _array(_object({"file": _TEXT, "fingerprint": _HASH})),
            "boilers": _array(
                _object(
                    {
                        "boiler": _TEXT,
                        "judged": _JUDGED,
                        "unchanged": {"type": "boolean"},
                        "records": _array(_RECORD),
                        "heads": _array(_TEXT),
                        "problems": _array(_PROBLEM),
                        "signers": _array(_SIGNER),
                        "lacking": _array(_TEXT),
                    }
                )
            ),
        }
    ),
}
