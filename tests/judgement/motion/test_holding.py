"""What held the pressure, on runs whose events and highest pressure are written by hand.

The laundry's boiler may stand 150 psi: its valves may let it reach 6 % more, 159 psi (power boiler codes, from memory);
a heating boiler of 15 psi may reach 20 psi (heating boiler codes, from memory).
"""

from dataclasses import replace

import pytest

from evenfire.judgement.motion.beginning import at
from evenfire.judgement.motion.holding import Held, what_held
from evenfire.judgement.motion.loading import inputs_of
from evenfire.judgement.motion.modelling import boiler_model
from evenfire.physics import control_logic
from evenfire.physics.motion.happenings import Happening
from evenfire.physics.motion.model import steady
from evenfire.physics.motion.run import Event, Extreme, Run, run
from evenfire.plant.boiler import Boiler
from evenfire.si import GaugePa
from tests.surveys import case_of, survey

PSI = 6894.757293


def boiler(plant: str = "laundry") -> Boiler:
    return case_of(survey(plant=plant)).boiler


def by_hand(highest: float, *events: tuple[Happening, int]) -> Run:
    """A run that came to a pressure [psi gauge], in which this happened."""
    case = case_of(survey())
    model = boiler_model(case)
    still = run(model, inputs_of(steady(0.0)), at(case, model, GaugePa(90 * PSI)), duration=1.0, interval=1.0)
    pressure = GaugePa(highest * PSI)
    return replace(
        still,
        highest=Extreme(pressure=pressure, time=7.0),
        events=tuple(
            Event(kind=kind, subject=subject, time=7.0, pressure=pressure, rising=True, firing=0.5)
            for kind, subject in events
        ),
    )


STOPPED = Happening.BURNER_STOPPED


@pytest.mark.parametrize(
    ("events", "held"),
    [
        ((), Held.FIRING_RATE),
        # Low water and power stop it too, but not for pressure.
        (((STOPPED, control_logic.LOW_WATER), (STOPPED, control_logic.NO_POWER)), Held.FIRING_RATE),
        # The numbers of the limits are those of phases too: the drive opens in phase 2, the pilot burns in phase 5.
        (((Happening.PHASE_BEGAN, control_logic.HIGH_LIMIT),), Held.FIRING_RATE),
        (((Happening.PHASE_BEGAN, control_logic.OPERATING_LIMIT),), Held.FIRING_RATE),
        (((STOPPED, control_logic.OPERATING_LIMIT),), Held.OPERATING_LIMIT),
        (((STOPPED, control_logic.HIGH_LIMIT),), Held.HIGH_LIMIT),
        # It opened with the burner off already.
        (((Happening.HIGH_LIMIT_OPENED, 0),), Held.HIGH_LIMIT),
        (((STOPPED, control_logic.OPERATING_LIMIT), (STOPPED, control_logic.HIGH_LIMIT)), Held.HIGH_LIMIT),
        (((STOPPED, control_logic.HIGH_LIMIT), (Happening.VALVE_LIFTED, 1)), Held.SAFETY_VALVES),
        (((Happening.VALVE_LIFTED, 0),), Held.SAFETY_VALVES),
    ],
)
def test_the_last_protection_that_was_needed_is_told(events: tuple[tuple[Happening, int], ...], held: Held) -> None:
    found = what_held(boiler(), by_hand(140.0, *events))
    assert found.held is held
    assert found.allowed == pytest.approx(159 * PSI)
    assert found.margin == pytest.approx(19 * PSI)
    assert found.highest.time == 7.0


@pytest.mark.parametrize(("highest", "held"), [(159.0, Held.SAFETY_VALVES), (159.1, Held.NOTHING)])
def test_beyond_the_accumulation_nothing_held(highest: float, held: Held) -> None:
    found = what_held(boiler(), by_hand(highest, (Happening.VALVE_LIFTED, 0)))
    assert found.held is held
    assert found.margin == pytest.approx((159 - highest) * PSI, abs=1.0)


def test_a_heating_boiler_may_reach_twenty_psi() -> None:
    assert what_held(boiler("school"), by_hand(19.9)).held is Held.FIRING_RATE
    assert what_held(boiler("school"), by_hand(20.1)).held is Held.NOTHING
