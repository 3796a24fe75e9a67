"""Each surveyed value moves by its own doubt and nothing else moves: factors from the table of doubts, worked by hand.

The doubts themselves are a judgement of the trade, no print; they are written here a second time.
"""

from collections.abc import Callable
from dataclasses import replace

import pytest

from evenfire.judgement.tolerance.values import SurveyedValue, kind_of, values_of
from evenfire.plant.boiler import Boiler
from evenfire.plant.controls import Role
from evenfire.plant.known import Datum, Origin
from evenfire.plant.plant import Plant
from evenfire.si import Dimension
from tests.surveys import survey

READ: dict[str, object] = {
    "boiler.standing_loss": "70,000 Btu/h",
    "load.need_at": "header",
    "load.line_drop": "2 psi",
    "load.drop": {"size": "2500 lb/h", "over": "60 s"},
    "boiler.measured.run_on": [{"rise": "1 psi", "firing": "25 %", "load": "none"}],
    "boiler.measured.undershoot": {"fall": "9 psi", "load": "20 %"},
    "boiler.measured.contact_to_low_fire": "104 s",
    "boiler.safety_valve.1.tested_lift": "148 psi",
    "boiler.controls.high_limit.lag": "2 s",
}
Look = Callable[[Plant, Boiler], float]


def laundry(edits: dict[str, object] | None = None) -> tuple[Plant, Boiler]:
    plant = survey(READ | (edits or {})).plant
    return plant, plant.boilers[0]


def values(plant: Plant, boiler: Boiler) -> dict[str, SurveyedValue]:
    found = list(values_of(plant, boiler))
    assert len({each.key for each in found}) == len(found)
    return {each.key: each for each in found}


def of(datum: Datum | None) -> float:
    assert datum is not None
    return datum.value


def the(value: float | None) -> float:
    assert value is not None
    return value


LOOKS: dict[str, tuple[Look, float]] = {
    "water_volume": (lambda _, boiler: the(boiler.water_volume), 1.10),
    "steam_volume": (lambda _, boiler: of(boiler.steam_volume), 1.20),
    "metal_mass": (lambda _, boiler: of(boiler.metal_mass), 1.15),
    "output": (lambda _, boiler: the(boiler.output), 1.05),
    "standing_loss": (lambda _, boiler: of(boiler.standing_loss), 1.30),
    "burner.heat_lag": (lambda _, boiler: of(boiler.burners[0].heat_lag), 1.25),
    "burner.stroke": (lambda _, boiler: of(boiler.burners[0].stroke_time), 1.10),
    "burner.turndown": (lambda _, boiler: the(boiler.burners[0].turndown), 1.10),
    "burner.efficiency": (lambda _, boiler: of(boiler.burners[0].efficiency), 1.02),
    "load.drop": (lambda plant, _: of(getattr(plant.load.design_drop, "size", None)), 1.20),
    "load.line_drop": (lambda plant, _: of(plant.load.line_drop), 1.20),
    "measured.run_on": (lambda _, boiler: boiler.measured.run_on[0].rise, 1.10),
    "measured.undershoot": (lambda _, boiler: the(getattr(boiler.measured.undershoot, "fall", None)), 1.1),
    "measured.contact_to_low_fire": (lambda _, boiler: the(boiler.measured.contact_to_low_fire), 1.05),
    "safety_valve.lift": (lambda _, boiler: the(boiler.safety_valves[1].tested_lift), 1.01),
    "controls.high_limit.lag": (
        lambda _, boiler: of(getattr(boiler.controls.high_limit, "lag", None)),
        1.30,
    ),
}


@pytest.mark.parametrize("key", sorted(LOOKS))
def test_a_value_moves_by_its_doubt_and_no_other_does(key: str) -> None:
    plant, boiler = laundry()
    value = values(plant, boiler)[key]
    look, factor = LOOKS[key]
    assert value.doubt.value == pytest.approx(factor - 1.0)
    assert value.doubt.dimension is Dimension.FRACTION
    for deviations in (1.0, -1.0, 2.0):
        changed = value.off_by(deviations)
        assert look(*changed) == pytest.approx((1 + deviations * (factor - 1)) * look(plant, boiler))
        for other, (elsewhere, _) in LOOKS.items():
            if other != key:
                assert elsewhere(*changed) == elsewhere(plant, boiler), other


def test_feedwater_is_five_degrees_off_and_never_ice() -> None:
    plant, boiler = laundry()
    value = values(plant, boiler)["feedwater_temperature"]
    assert (value.doubt.value, value.doubt.dimension) == (5.0, Dimension.TEMPERATURE_DIFFERENCE)
    _, warmer = value.off_by(1.0)
    # 200 F is 366.48 K.
    assert of(warmer.feedwater_temperature) == pytest.approx(371.48, abs=0.01)
    _, coldest = value.off_by(-100.0)
    assert 273.15 < of(coldest.feedwater_temperature) < 275.0


def test_a_water_leg_is_half_a_foot_off_and_never_less_than_none() -> None:
    plant, boiler = laundry()
    for role in ("operating_limit", "high_limit", "firing_rate", "low_fire_hold"):
        value = values(plant, boiler)[f"controls.{role}.water_leg"]
        assert (value.doubt.value, value.doubt.dimension) == (0.15, Dimension.LENGTH)
        leg = getattr(value.off_by(1.0)[1].controls, role).water_leg
        assert leg.height == pytest.approx(0.5 * 0.3048 + 0.15)
        assert getattr(value.off_by(-2.0)[1].controls, role).water_leg.height == 0.0


def test_every_timer_of_the_start_is_longer_together() -> None:
    plant, boiler = laundry({"boiler.measured.contact_to_low_fire": None})
    _, slower = values(plant, boiler)["burner.start"].off_by(1.0)
    before, after = boiler.burners[0].chain, slower.burners[0].chain
    for part in ("start_delay", "drive_open", "prepurge", "drive_back", "pilot_trial", "main_trial"):
        assert of(getattr(after, part)) == pytest.approx(1.10 * of(getattr(before, part))), part
    assert of(after.flame_to_low_fire) == pytest.approx(1.10 * of(before.flame_to_low_fire))


def test_a_tolerance_is_a_quarter_off() -> None:
    plant, boiler = laundry()
    for role in ("operating_limit", "high_limit", "firing_rate", "low_fire_hold"):
        _, wider = values(plant, boiler)[f"controls.{role}.tolerance"].off_by(1.0)
        before, after = getattr(boiler.controls, role).tolerance, getattr(wider.controls, role).tolerance
        assert after.dial == pytest.approx(1.25 * before.dial)


def test_what_was_assumed_is_further_off_than_what_was_surveyed() -> None:
    plant, boiler = laundry({"boiler.standing_loss": None, "boiler.steam_volume": None, "boiler.burner.heat_lag": None})
    found = values(plant, boiler)
    for key, doubt in (("standing_loss", 0.50), ("steam_volume", 0.40), ("burner.heat_lag", 0.50)):
        assert found[key].origin is Origin.ASSUMED
        assert found[key].doubt.value == pytest.approx(doubt)
    assert found["metal_mass"].origin is Origin.SURVEYED
    assert found["controls.operating_limit.lag"].origin is Origin.ASSUMED
    assert found["controls.operating_limit.lag"].doubt.value == pytest.approx(0.50)
    assert found["controls.high_limit.lag"].origin is Origin.SURVEYED
    assert found["measured.run_on"].origin is Origin.MEASURED
    assert found["water_volume"].origin is Origin.SURVEYED


def test_a_start_of_which_one_timer_is_assumed_is_assumed() -> None:
    plant, boiler = laundry({"boiler.burner.start.prepurge": None, "boiler.measured.contact_to_low_fire": None})
    assert values(plant, boiler)["burner.start"].origin is Origin.ASSUMED
    plant, boiler = laundry({"boiler.measured.contact_to_low_fire": None})
    assert values(plant, boiler)["burner.start"].origin is Origin.SURVEYED
    # A timer that nobody knows at all is none that was assumed.
    chain = replace(boiler.burners[0].chain, pilot_trial=None)
    bare = replace(boiler, burners=(replace(boiler.burners[0], chain=chain),))
    assert values(plant, bare)["burner.start"].origin is Origin.SURVEYED


def test_what_is_not_there_is_not_off() -> None:
    plant, boiler = laundry()
    gone = replace(
        boiler,
        water_volume=None,
        metal_mass=None,
        output=None,
        steam_volume=None,
        standing_loss=None,
        feedwater_temperature=None,
        controls=replace(boiler.controls, operating_limit=None),
        safety_valves=tuple(replace(valve, tested_lift=None) for valve in boiler.safety_valves),
        measured=replace(boiler.measured, run_on=(), undershoot=None, contact_to_low_fire=None),
    )
    lacking = set(values(plant, boiler)) - set(values(plant, gone))
    assert lacking >= {
        *(
            "water_volume",
            "metal_mass",
            "output",
            "steam_volume",
            "standing_loss",
            "feedwater_temperature",
            "safety_valve.lift",
        ),
        *(f"controls.operating_limit.{what}" for what in ("lag", "water_leg", "tolerance")),
        *("measured.run_on", "measured.undershoot", "measured.contact_to_low_fire"),
    }
    # Those after a control that is not there are there still.
    assert {"controls.high_limit.lag", "controls.low_fire_hold.water_leg"} <= set(values(plant, gone))


def test_a_lag_and_a_leg_of_nothing_are_not_off() -> None:
    plant, boiler = laundry({"boiler.controls.high_limit.lag": "0 s", "boiler.controls.high_limit.water_leg": "none"})
    found = values(plant, boiler)
    assert "controls.high_limit.lag" not in found
    assert "controls.high_limit.water_leg" not in found
    control = boiler.controls.high_limit
    assert control is not None
    unknown = replace(boiler, controls=boiler.controls.having(Role.HIGH_LIMIT, replace(control, lag=None)))
    assert "controls.high_limit.lag" not in values(plant, unknown)


def test_untested_valves_stay_where_they_are_stamped() -> None:
    plant, boiler = laundry()
    _, changed = values(plant, boiler)["safety_valve.lift"].off_by(1.0)
    assert changed.safety_valves[0] == boiler.safety_valves[0]


@pytest.mark.parametrize(
    ("key", "kind"),
    [
        ("water_volume", "water_volume"),
        ("burner.start", "burner.start"),
        ("controls.high_limit.lag", "controls.lag"),
        ("controls.firing_rate.water_leg", "controls.water_leg"),
    ],
)
def test_all_controls_have_one_doubt_of_each_kind(key: str, kind: str) -> None:
    assert kind_of(key) == kind
