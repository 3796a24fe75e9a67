"""The flow strip of a boiler: a few words each, in step with what was surveyed, typed, opened and signed."""

from collections.abc import Callable
from datetime import timedelta

import pytest

from evenfire.delivery.acts import visiting
from evenfire.delivery.acts.stations import stations
from evenfire.delivery.records import drafts, registers, surveys
from evenfire.delivery.records.registers import add_boiler, add_site, find_person
from evenfire.delivery.units import UnitSystem
from evenfire.errors import BadRequest
from tests.delivery.acts.on_visit import CHANGE, LAUNDRY, QUILL, Call

US = UnitSystem.US


def told(call: Call) -> dict[str, str]:
    return stations(call.store, registers.boilers_of(call.store)[0].id, US)


def test_a_fresh_boiler_has_nothing_to_tell(call: Call) -> None:
    site = add_site(call.store, "Nowhere Mill")
    boiler = add_boiler(call.store, site.id, "B 1")
    assert stations(call.store, boiler.id, US) == {"survey": "", "settle": "", "visit": "", "print": ""}
    with pytest.raises(BadRequest):
        stations(call.store, "no such boiler", US)


def test_the_survey_station_tells_its_day_and_that_it_is_being_typed(call: Call) -> None:
    boiler = registers.boilers_of(call.store)[0].id
    assert told(call)["survey"] == "taken 2026-11-25"
    drafts.open_survey(call.store, boiler=boiler, by=find_person(call.store, QUILL).id)
    assert told(call)["survey"] == "being typed"


@pytest.mark.parametrize(
    ("text", "stands"),
    [
        (lambda text: text, "warn"),
        (lambda text: text.replace('high_limit = "140 psi"', 'high_limit = "155 psi"'), "STOP"),
        (lambda text: text.replace('reset = "manual"\n', ""), "not judged"),
    ],
)
def test_the_settle_station_tells_the_worst_of_the_settings(
    call: Call, text: Callable[[str], str], stands: str
) -> None:
    call.enter({"call.given_up": "another day"})
    call.store.clock.now += timedelta(days=1)  # type: ignore[attr-defined]
    surveys.take(call.store, text(LAUNDRY).encode(), "plant.toml")
    assert told(call)["settle"] == stands


def test_the_visit_station_tells_what_stands_open_before_what_was_signed(ready: Call) -> None:
    assert told(ready)["visit"] == "open"
    ready.signed()
    assert told(ready)["visit"] == "signed 2026-11-25"
    assert told(ready)["settle"] == "nothing broken"
    again = ready.again()
    again.enter({key: text for key, text in CHANGE.items() if "clos" not in key and "verif" not in key})
    assert told(ready)["visit"] == "TEMPORARY CHANGE OPEN"
    assert len(visiting.open_visits(ready.store)) == 1
