"""The parts of settle one by one: the ways that are offered, the hold, the stack of a search, readings that rule.

Numbers are worked by hand from the plant file; what is a choice of ours (steps, how far a change is offered) is said.
"""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from evenfire.judgement.behaviour import Behaviour
from evenfire.judgement.outcome import Route
from evenfire.judgement.settle.ground import combinations, ground_of, likely_part, possible_part
from evenfire.judgement.settle.result import CureKind
from evenfire.judgement.settle.search import FireAtCutOut, stack_of
from evenfire.judgement.settle.settling import clears_interruptions, rooms_in
from evenfire.judgement.settle.trade import trade_curve
from evenfire.judgement.settle.ways import Way, ways
from evenfire.plant.burner import Firing
from evenfire.plant.controls import Role
from evenfire.plant.known import Missing
from evenfire.plant.readings import Simulated
from evenfire.si import GaugePa
from tests.surveys import case_of, survey

PSI = 6894.757293168
LEG = 0.433 * 0.5


def offered(kind: CureKind, edits: dict[str, object] | None = None, plant: str = "laundry") -> list[Way]:
    found = survey(edits, plant).plant
    return [way for way in ways(found, found.boilers[0]) if way.kind is kind]


def test_turndown_is_offered_in_halves_up_to_twenty_to_one() -> None:
    # Ours: halves, and no more than 20. From 4 that is 32 steps.
    (more,) = offered(CureKind.MORE_TURNDOWN)
    assert (more.start, more.step, more.count) == (4, 0.5, 32)
    assert more.value(32) == 20.0


def test_a_burner_that_only_goes_on_and_off_or_whose_turndown_nobody_knows_is_offered_no_more_of_it() -> None:
    assert offered(CureKind.MORE_TURNDOWN, plant="vertical") == []
    assert offered(CureKind.MORE_TURNDOWN, {"boiler.burner.turndown": None}) == []
    # One of two: what the other cannot do, the boiler cannot.
    gas: dict[str, object] = {"fuel": "natural gas", "firing": "modulating", "turndown": 4, "input": "8.35 MMBtu/h"}
    oil: dict[str, object] = {"fuel": "light oil", "firing": "on-off", "input": "8.35 MMBtu/h"}
    assert offered(CureKind.MORE_TURNDOWN, {"boiler.burner": [gas, oil]}) == []
    # A turndown that is written beside a single fire is none.
    plant = survey().plant
    (burner,) = plant.boilers[0].burners
    single = replace(plant.boilers[0], burners=(replace(burner, firing=Firing.ON_OFF),))
    assert [way for way in ways(plant, single) if way.kind is CureKind.MORE_TURNDOWN] == []


def test_a_start_is_offered_shorter_second_by_second_down_to_twenty() -> None:
    # Ours: twenty seconds. The chain of 98 s and the lag of 8 s are 106.
    (shorter,) = offered(CureKind.SHORTEN_START)
    assert shorter.start == pytest.approx(106)
    assert (shorter.step, shorter.count) == (-1.0, 86)
    found = survey({"boiler.measured.contact_to_low_fire": "75 s"}).plant
    (watched,) = [way for way in ways(found, found.boilers[0]) if way.kind is CureKind.SHORTEN_START]
    assert watched.start == pytest.approx(75)
    _, boiler = watched.apply(found, found.boilers[0], 70.0)
    assert boiler.measured.contact_to_low_fire == 70.0
    # A start that was measured shorter than what is offered stays as short.
    _, same = watched.apply(found, found.boilers[0], 90.0)
    assert same.measured.contact_to_low_fire == 75.0


def test_bands_are_offered_narrower_by_half_a_psi_down_to_one() -> None:
    (narrower,) = offered(CureKind.NARROWER_DIFFERENTIAL)
    # Its scale begins at 6 psi: ten halves down to 1 psi (ours).
    assert narrower.start == pytest.approx(6 * PSI)
    assert narrower.step / PSI == pytest.approx(-0.5)
    assert narrower.count == 10
    (low,) = offered(CureKind.NARROWER_DIFFERENTIAL, plant="school")
    assert low.step / PSI == pytest.approx(-0.25)


def test_proving_is_offered_one_by_one_then_for_the_limits_then_for_all() -> None:
    dial: dict[str, object] = {f"boiler.controls.{role.value}.tolerance": {"dial": "2 psi"} for role in Role}
    groups = [way.roles for way in offered(CureKind.PROVE, dial)]
    limits = (Role.HIGH_LIMIT, Role.OPERATING_LIMIT)
    assert groups == [
        (Role.HIGH_LIMIT,),
        (Role.OPERATING_LIMIT,),
        (Role.FIRING_RATE,),
        (Role.LOW_FIRE_HOLD,),
        limits,
        (*limits, Role.FIRING_RATE, Role.LOW_FIRE_HOLD),
    ]


def test_scales_that_are_not_there_hide_none_of_the_others() -> None:
    scales = [way.roles for way in offered(CureKind.LONGER_SCALE, {"boiler.controls.operating_limit.scale": None})]
    assert scales == [(Role.HIGH_LIMIT,), (Role.FIRING_RATE,)]


def test_the_search_knows_the_lowest_hold_of_the_dial() -> None:
    plant = survey().plant
    hold = stack_of(ground_of(plant, plant.boilers[0])).hold
    assert isinstance(hold, np.ndarray)
    # The scale begins at 10 psi; half a foot of water below the tap acts so much early.
    assert hold.shape == (1, 1, 1)
    assert hold[0, 0, 0] / PSI == pytest.approx(10 - LEG, abs=1e-3)
    vertical = survey(plant="vertical").plant
    assert isinstance(stack_of(ground_of(vertical, vertical.boilers[0])).hold, Missing)


def hold_case(hold: float, lowest: float | None) -> bool:
    case = case_of(survey({"boiler.as_found.low_fire_hold": f"{hold} psi"}))
    seen = Simulated(lowest_under_load=None if lowest is None else GaugePa(lowest * PSI))
    return clears_interruptions(replace(case, boiler=replace(case.boiler, simulated=seen)))


def test_a_hold_stands_below_every_dip_with_its_tolerance() -> None:
    # 60 psi on the dial, 0.22 psi early, and 2 psi that it may be high.
    assert hold_case(60, 62.0)
    assert not hold_case(60, 61.7)
    assert not hold_case(60, 40.0)
    # No dip was seen, or nothing was simulated.
    assert hold_case(60, None)
    assert clears_interruptions(case_of(survey()))


def test_where_no_hold_is_known_none_is_fallen_into() -> None:
    case = case_of(survey({"boiler.as_found.low_fire_hold": None}))
    seen = replace(case.boiler, simulated=Simulated(lowest_under_load=GaugePa(10 * PSI)))
    assert clears_interruptions(replace(case, boiler=seen))


def test_rooms_come_narrowest_first_in_tolerances_and_what_lacks_a_number_is_named() -> None:
    rooms, unknown = rooms_in(case_of(survey()))
    weights = [room.room / room.unit for room in rooms]
    assert weights == sorted(weights)
    assert unknown == ()
    rooms, unknown = rooms_in(case_of(survey({"load.need": None})))
    assert rooms
    assert {each.code for each in unknown} >= {"restart-holds-need", "need-at-full-load"}
    assert all("load.need" in each.missing for each in unknown if each.code == "restart-holds-need")


def test_a_reading_rules_where_it_speaks_of_the_fire_that_is_asked_for() -> None:
    plant = survey({"boiler.measured.run_on": [{"rise": "4 psi", "firing": "50 %", "load": "none"}]}).plant
    behaviour = Behaviour(plant.boilers[0], plant.load, plant.site.ambient)
    # 4 psi from half fire: 2 psi from a quarter of fire, at which the laundry's burner is turned down.
    low = behaviour.low_fire_run_on(GaugePa(120 * PSI))
    assert low.value / PSI == pytest.approx(2.0)
    assert low.route is Route.MEASURED


def test_a_small_fires_large_reading_is_not_hidden_by_arithmetic() -> None:
    plant = survey({"boiler.measured.run_on": [{"rise": "9 psi", "firing": "20 %", "load": "none"}]}).plant
    behaviour = Behaviour(plant.boilers[0], plant.load, plant.site.ambient)
    # 9 psi from a fifth: 11.25 psi from a quarter and 45 psi from all of it, far above lag x heat / storage.
    low, full = behaviour.low_fire_run_on(GaugePa(120 * PSI)), behaviour.full_fire_run_on(GaugePa(140 * PSI))
    assert low.value / PSI == pytest.approx(11.25)
    assert low.route is Route.MEASURED
    assert full.value / PSI == pytest.approx(45.0)
    assert full.route is Route.MEASURED


def test_an_undershoot_that_was_read_at_a_small_load_grows_with_the_load() -> None:
    plant = survey({"boiler.measured.undershoot": {"fall": "9 psi", "load": "5 %"}}).plant
    behaviour = Behaviour(plant.boilers[0], plant.load, plant.site.ambient)
    # Read at a twentieth of the load; the worst that cycles is a quarter: five times as deep.
    fall = behaviour.undershoot(GaugePa(112 * PSI), GaugePa(120 * PSI))
    assert fall.value / PSI == pytest.approx(45.0, rel=0.02)
    assert fall.route is Route.MEASURED


def test_parts_of_a_ground_keep_what_can_be_and_drop_what_never_can() -> None:
    plant = survey().plant
    ground = ground_of(plant, plant.boilers[0])
    possible = possible_part(ground, FireAtCutOut.LOW)
    assert possible is not None
    # The lowest valve stands at 150 psi; a point at or below nothing is none.
    for positions in (possible.operating, possible.rate, possible.high):
        assert positions is not None
        assert positions.upper.max() < 150 * PSI
        assert len(positions.main) > 0
    assert possible.operating.lower.min() > 0
    assert ground.high.upper.max() > 150 * PSI
    likely = likely_part(ground)
    assert likely is not None
    assert likely.rate is not None
    # Below the need of 105 psi no cut-in holds it, above the wish of 130 psi no cut-out stays within it.
    assert likely.high.upper.max() < 150 * PSI
    assert likely.operating.lower.min() >= 105 * PSI - 1.0
    assert likely.operating.upper.max() <= 130 * PSI + 1.0
    assert likely.rate.lower.min() >= 105 * PSI - 1.0
    assert likely.rate.upper.max() <= 130 * PSI + 1.0
    assert combinations(likely) < combinations(possible) < combinations(ground)


def test_the_fire_at_cut_out_is_what_is_asked_for_where_a_band_is_on_a_dial() -> None:
    plant = survey().plant
    ground = ground_of(plant, plant.boilers[0])
    assert ground.at_cut_out is FireAtCutOut.LOW
    full = possible_part(ground, FireAtCutOut.FULL)
    assert full is not None
    assert full.at_cut_out is FireAtCutOut.FULL
    # A controller that works out its band itself may be at full fire at cut-out, and nobody asks it otherwise.
    pid = survey({"boiler.controls.firing_rate.action": "pid"}).plant
    unknown = ground_of(pid, pid.boilers[0])
    assert unknown.at_cut_out is FireAtCutOut.FULL
    low = possible_part(unknown, FireAtCutOut.LOW)
    assert low is not None
    assert low.at_cut_out is FireAtCutOut.FULL
    # One fire: it is at low fire, which is all it has.
    vertical = survey(plant="vertical").plant
    assert ground_of(vertical, vertical.boilers[0]).at_cut_out is FireAtCutOut.LOW


def test_the_trade_falls_and_has_no_more_points_than_can_be_read() -> None:
    plant = survey().plant
    points = trade_curve(ground_of(plant, plant.boilers[0]))
    lowest, starts = [each.lowest for each in points], [each.starts for each in points]
    assert 2 <= len(points) <= 9
    assert lowest == sorted(lowest, reverse=True)
    assert starts == sorted(starts, reverse=True)
    # At least half a psi apart.
    assert all(above - below >= 0.5 * PSI - 1 for above, below in pairwise(lowest))
    assert min(starts) > 0


def test_a_watch_says_from_where_a_time_is_known() -> None:
    plant = survey({"boiler.measured.contact_to_low_fire": "75 s"}).plant
    behaviour = Behaviour(plant.boilers[0], plant.load, plant.site.ambient)
    assert behaviour.contact_to_low_fire(plant.boilers[0].burners[0]).route is Route.MEASURED
