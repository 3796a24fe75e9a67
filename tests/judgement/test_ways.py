"""The changes that are tried where no settings fit: each in its direction, and none that the plant already has."""

import pytest

from evenfire.judgement.settle.result import CureKind
from evenfire.judgement.settle.ways import Way, ways
from evenfire.plant.controls import Role
from evenfire.si import PA_PER_PSI
from tests.surveys import survey

SCALE: dict[str, object] = {"from": "5 psi", "to": "30 psi", "division": "1 psi"}
GAS: dict[str, object] = {"fuel": "natural gas", "firing": "modulating", "turndown": 4, "input": "8.35 MMBtu/h"}
PROVED: dict[str, object] = {
    f"boiler.controls.{role.value}.tolerance": {"dial": "2 psi", "proved": "0.5 psi"} for role in Role
}


def offered(edits: dict[str, object] | None = None) -> list[Way]:
    plant = survey(edits).plant
    return list(ways(plant, plant.boilers[0]))


def of_kind(kind: CureKind, edits: dict[str, object] | None = None) -> list[Way]:
    return [way for way in offered(edits) if way.kind is kind]


def test_only_a_control_that_is_not_proved_yet_is_offered_to_be_proved() -> None:
    left = of_kind(CureKind.PROVE, {**PROVED, "boiler.controls.operating_limit.tolerance": {"dial": "2 psi"}})
    assert [way.roles for way in left] == [(Role.OPERATING_LIMIT,)]


def test_where_every_control_is_proved_there_is_nothing_to_prove() -> None:
    assert of_kind(CureKind.PROVE, PROVED) == []


def test_less_is_asked_in_steps_down_and_more_in_steps_up() -> None:
    narrower = {CureKind.NARROWER_RANGE, CureKind.NARROWER_DIFFERENTIAL, CureKind.SHORTEN_START, CureKind.LOWER_NEED}
    wider = {CureKind.LONGER_SCALE, CureKind.MORE_TURNDOWN, CureKind.RAISE_WISH}
    seen = set()
    for way in offered({"load.wish": "130 psi"}):
        if way.kind in narrower | wider:
            assert (way.step < 0) == (way.kind in narrower), way.kind
            seen.add(way.kind)
    assert seen >= {CureKind.SHORTEN_START, CureKind.LOWER_NEED, CureKind.MORE_TURNDOWN, CureKind.RAISE_WISH}


def test_a_plant_that_asks_for_no_pressure_is_not_told_to_ask_for_less() -> None:
    assert of_kind(CureKind.LOWER_NEED, {"load.need": None}) == []
    assert of_kind(CureKind.RAISE_WISH, {"load.wish": None}) == []


def test_a_range_without_a_scale_does_not_hide_the_differential_beside_it() -> None:
    fixed: dict[str, object] = {
        "boiler.controls.firing_rate.differential_scale": None,
        "boiler.controls.operating_limit.differential_scale": SCALE,
    }
    assert of_kind(CureKind.NARROWER_RANGE, fixed) == []
    (differential,) = of_kind(CureKind.NARROWER_DIFFERENTIAL, fixed)
    assert differential.start == pytest.approx(5 * PA_PER_PSI)


def test_more_turndown_never_takes_any_from_a_burner_that_has_more() -> None:
    oil = {**GAS, "fuel": "light oil", "turndown": 10}
    plant = survey({"boiler.burner": [GAS, oil]}).plant
    (more,) = [way for way in ways(plant, plant.boilers[0]) if way.kind is CureKind.MORE_TURNDOWN]
    assert more.start == 4
    changed = more.apply(plant, plant.boilers[0], 6.0)[1]
    assert [burner.turndown for burner in changed.burners] == [6.0, 10.0]


@pytest.mark.parametrize("kind", [CureKind.LOWER_NEED, CureKind.RAISE_WISH, CureKind.LONGER_SCALE])
def test_a_change_that_is_followed_changes_what_it_says_and_by_one_step(kind: CureKind) -> None:
    plant = survey({"load.wish": "130 psi"}).plant
    boiler = plant.boilers[0]
    way = next(each for each in ways(plant, boiler) if each.kind is kind)
    changed, changed_boiler = way.apply(plant, boiler, way.value(1))
    scale = changed_boiler.controls.operating_limit
    assert scale is not None
    assert scale.scale is not None
    stands = {
        CureKind.LOWER_NEED: changed.load.need,
        CureKind.RAISE_WISH: changed.load.wish,
        CureKind.LONGER_SCALE: scale.scale.highest,
    }[kind]
    assert stands == pytest.approx(way.value(1))
    assert way.start is not None
    assert way.value(1) != pytest.approx(way.start)
