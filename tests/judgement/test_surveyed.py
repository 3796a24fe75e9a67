"""What a rule takes for known: what somebody stated or surveyed, and never what was assumed for him."""

from dataclasses import replace

import pytest

from evenfire.judgement.outcome import Part
from evenfire.judgement.rules.surveyed import burners, controls, fitted, noted, stated, valves
from evenfire.plant.controls import Role
from evenfire.plant.known import Datum, NotKnownError, Origin
from tests.judgement.plants_for_rules import HIGH_PRESSURE, LOW_PRESSURE, REMOVED, case_of, edited


def test_what_nobody_stated_is_asked_for_by_all_of_its_keys() -> None:
    assert stated(3.0, "key") == 3.0
    # Nought and no are answers.
    assert stated(0.0, "key") == 0.0
    assert stated(False, "key") is False
    with pytest.raises(NotKnownError) as lacking:
        stated(None, "one", "other")
    assert lacking.value.keys == ("one", "other")


@pytest.mark.parametrize("origin", Origin)
def test_a_number_that_was_assumed_counts_as_missing_for_a_rule(origin: Origin) -> None:
    datum = Datum(10.0, origin, "ASSUMED_PILOT_TRIAL" if origin is Origin.ASSUMED else "")
    if origin is Origin.ASSUMED:
        with pytest.raises(NotKnownError) as lacking:
            noted(datum, "burner.start.pilot_trial")
        assert lacking.value.keys == ("burner.start.pilot_trial",)
    else:
        assert noted(datum, "burner.start.pilot_trial") == 10.0


def test_a_number_that_is_not_there_counts_as_missing_too() -> None:
    with pytest.raises(NotKnownError) as lacking:
        noted(None, "burner.start.pilot_trial")
    assert lacking.value.keys == ("burner.start.pilot_trial",)


def test_both_limits_are_asked_about_even_where_they_are_not_fitted() -> None:
    every = {role for _, role in controls(case_of(HIGH_PRESSURE))}
    assert every == set(Role)
    low = case_of(LOW_PRESSURE)
    assert {role for _, role in controls(low)} == set(Role) - {Role.FIRING_RATE}
    bare = replace(low.boiler.controls, operating_limit=None, high_limit=None, low_fire_hold=None)
    stripped = replace(low, boiler=replace(low.boiler, controls=bare))
    assert {role for _, role in controls(stripped)} == {Role.HIGH_LIMIT, Role.OPERATING_LIMIT}
    with pytest.raises(NotKnownError) as lacking:
        fitted(stripped, Role.HIGH_LIMIT)
    assert lacking.value.keys == ("controls.high_limit",)


def test_every_valve_and_every_burner_is_a_subject_and_only_one_of_several_needs_a_name() -> None:
    case = case_of(HIGH_PRESSURE)
    assert [subject.name for subject, _ in valves(case)] == ["front", "rear"]
    ((subject, burner),) = burners(case)
    assert (subject.part, subject.name, burner) == (Part.BURNER, "", case.boiler.burners[0])
    both = replace(case, boiler=replace(case.boiler, burners=case.boiler.burners * 2))
    assert [subject.name for subject, _ in burners(both)] == ["natural gas", "natural gas"]


def test_a_fired_boiler_without_a_described_burner_leaves_its_questions_open_and_an_electric_one_has_none() -> None:
    fired = case_of(edited(HIGH_PRESSURE, {"boiler.burner": []}))
    ((subject, burner),) = burners(fired)
    assert (subject.part, burner) == (Part.BURNER, None)
    electric = {"boiler.burner": [], "boiler.electric_input": "900 kW", "boiler.heating_surface": REMOVED}
    assert burners(case_of(edited(HIGH_PRESSURE, dict(electric)))) == ()  # type: ignore[arg-type]
