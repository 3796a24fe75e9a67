"""How a visit stands as JSON, format ``evenfire.visit/1``: what would be signed, and what stands against signing."""

import json
from typing import Final

from evenfire.delivery.report.visit_record import body_of
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.visit_answers import JudgedVisit
from evenfire.delivery.words import CAUTIONS
from evenfire.delivery.words.visits import say_bar

FORMAT: Final = "evenfire.visit/1"


def visit_json(judged: JudgedVisit, system: UnitSystem) -> str:
    """One JSON document; ``body`` is what a signature would seal."""
    document = {
        "format": FORMAT,
        "site": judged.at.plant_file.plant.site.name,
        "boiler": judged.at.boiler.name,
        "visit": judged.at.draft.id,
        "is_open": judged.at.draft.is_open,
        "exit_code": judged.ending.value,
        "stands_against_signing": [
            {
                "bar": each.bar.value,
                "said": say_bar(each),
                "rows": list(each.rows),
                "paths": list(each.paths),
                "codes": list(each.codes),
            }
            for each in judged.bars
        ],
        "body": body_of(judged, system),
        "cautions": list(CAUTIONS),
    }
    return json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False)
