"""The answer of ``check`` as JSON, format ``evenfire.check/1``; the schema stands in ``schemas``."""

import json
from functools import partial
from typing import Final

from evenfire.delivery import units
from evenfire.delivery.answers import BoilerCheck, Check, Identity
from evenfire.delivery.intake.filling import Filled
from evenfire.delivery.report.outcome_json import Json, number, outcome_json
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.words import CAUTIONS, Show
from evenfire.judgement.standing import Standing
from evenfire.plant.known import Missing
from evenfire.si import Dimension, Quantity

FORMAT: Final = "evenfire.check/1"


def check_json(check: Check, system: UnitSystem) -> str:
    """One JSON document; words are in the reader's units, numbers in the unit that their key names."""
    show: Show = partial(units.show, system=system)
    document: dict[str, Json] = {
        "format": FORMAT,
        "site": check.plant_file.plant.site.name,
        **identity_json(check.identity),
        "exit_code": check.ending.value,
        "unfilled_lines": list(check.plant_file.unfilled),
        "boilers": [_boiler(boiler, show) for boiler in check.boilers],
        "assumptions": [assumption_json(each) for each in check.plant_file.filled],
        "cautions": list(CAUTIONS),
    }
    return json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False)


def identity_json(identity: Identity) -> dict[str, Json]:
    """What an answer was made from and by."""
    return {
        "plant_revision": identity.plant_revision,
        "engine_version": identity.engine_version,
        "rule_book_version": identity.rule_book_version,
    }


def assumption_json(filled: Filled) -> dict[str, Json]:
    """One value that was assumed."""
    return {
        "name": filled.assumption.name,
        "keys": list(filled.assumption.keys),
        "boiler": filled.boiler,
        **number("value", filled.value),
    }


def standing_json(standing: Standing) -> dict[str, Json]:
    """The numbers that no dial shows; a number that is not known is left out."""
    told: dict[str, Json] = {}
    if not isinstance(standing.storage, Missing):
        told |= number("storage", Quantity(standing.storage.value, Dimension.STORAGE))
    for name, value, dimension in (
        ("highest_normal", standing.highest, Dimension.GAUGE_PRESSURE),
        ("lowest_after_restart", standing.lowest, Dimension.GAUGE_PRESSURE),
        ("firing_at_cut_out", standing.share_at_cut_out, Dimension.FRACTION),
    ):
        if not isinstance(value, Missing):
            told |= number(name, Quantity(value, dimension))
    if not isinstance(standing.cycling, Missing):
        told |= number("most_starts", Quantity(standing.cycling.starts, Dimension.FREQUENCY))
        told |= number("most_starts_at", Quantity(standing.cycling.load_share, Dimension.FRACTION))
        told["most_starts_within_range"] = standing.cycling.within_range
    return told


def _boiler(boiler: BoilerCheck, show: Show) -> dict[str, Json]:
    return {
        "name": boiler.case.boiler.name,
        "settings": boiler.case.which.value,
        "proposal_is_stale": boiler.is_stale,
        "outcomes": [outcome_json(outcome, show) for outcome in boiler.outcomes],
        "standing": standing_json(boiler.standing),
    }
