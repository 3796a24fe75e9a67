"""The parts of moves one by one: dials to turn, the order of habit, the cheapest order, what is proved at the end."""

from dataclasses import replace
from itertools import permutations
from random import Random

import pytest

from evenfire.judgement.case import Case, SettingsSet, prepare
from evenfire.judgement.moves.closing import closing_steps, has_low_fire
from evenfire.judgement.moves.dials import (
    DIFFERENTIAL,
    MAIN,
    Turned,
    after_turning,
    completed,
    dials_to_turn,
    effect,
    preferred,
    surveyed,
    with_reading,
)
from evenfire.judgement.moves.ordering import Cost, cheapest_order
from evenfire.judgement.moves.planning import moves_between
from evenfire.judgement.moves.result import Closing, ClosingStep, Dial, Direction
from evenfire.judgement.moves.watching import is_worse, look_at, not_kept, room_of
from evenfire.plant.boiler import Boiler
from evenfire.plant.controls import Role
from evenfire.plant.known import Missing
from evenfire.plant.settings import DialReading, Settings
from evenfire.si import DiffPa, GaugePa
from tests.surveys import case_of, survey

PSI = 6894.757293168
LEG = 0.433 * 0.5
OL, HL, FR, HOLD = Role.OPERATING_LIMIT, Role.HIGH_LIMIT, Role.FIRING_RATE, Role.LOW_FIRE_HOLD


def laundry(edits: dict[str, object] | None = None) -> Boiler:
    return survey(edits).plant.boilers[0]


def reading(main: float, differential: float | None = None) -> DialReading:
    return DialReading(
        main=GaugePa(main * PSI), differential=None if differential is None else DiffPa(differential * PSI)
    )


def settings(**readings: DialReading | None) -> Settings:
    every: dict[str, DialReading | None] = {
        "operating_limit": None,
        "high_limit": None,
        "firing_rate": None,
        "low_fire_hold": None,
    }
    return Settings(**every | readings, proved=frozenset())  # type: ignore[arg-type]


FOUND = settings(
    operating_limit=reading(120, 8), high_limit=reading(140), firing_rate=reading(110, 15), low_fire_hold=reading(60)
)


def turned(role: Role, turn: str, from_: float | None, to: float) -> Turned:
    return Turned(dial=Dial(role, turn), from_=None if from_ is None else from_ * PSI, to=to * PSI)


def test_a_dial_goes_up_or_down_on_its_own_scale_or_nobody_knows() -> None:
    assert turned(OL, MAIN, 120, 121).direction is Direction.UP
    assert turned(OL, MAIN, 120, 119).direction is Direction.DOWN
    assert turned(OL, MAIN, None, 119).direction is Direction.UNKNOWN


@pytest.mark.parametrize("role", Role)
def test_each_controls_reading_is_its_own(role: Role) -> None:
    other = with_reading(FOUND, role, reading(77))
    for each in Role:
        assert other.of(each) == (reading(77) if each is role else FOUND.of(each))


def test_only_dials_that_differ_or_that_nobody_read_are_turned() -> None:
    assert dials_to_turn(FOUND, FOUND) == ()
    goal = replace(FOUND, operating_limit=reading(120, 10), high_limit=reading(138))
    assert [(each.dial.role, each.dial.turn) for each in dials_to_turn(FOUND, goal)] == [(OL, DIFFERENTIAL), (HL, MAIN)]
    unread = replace(FOUND, firing_rate=None)
    assert [(each.dial.turn, each.from_) for each in dials_to_turn(unread, FOUND)] == [
        (MAIN, None),
        (DIFFERENTIAL, None),
    ]
    # A millionth of a psi is rounding.
    hair = replace(FOUND, high_limit=reading(140 + 1e-7))
    assert dials_to_turn(FOUND, hair) == ()
    # A goal that says nothing of a control turns none of its dials; those that follow are turned.
    silent = replace(goal, operating_limit=None)
    assert [each.dial.role for each in dials_to_turn(FOUND, silent)] == [HL]


def test_what_a_goal_does_not_say_stays_as_it_was_found() -> None:
    goal = settings(operating_limit=reading(125), high_limit=reading(141))
    done = completed(FOUND, goal)
    assert done.operating_limit == reading(125, 8)
    assert done.high_limit == reading(141)
    assert done.firing_rate == FOUND.firing_rate
    assert done.low_fire_hold == FOUND.low_fire_hold
    assert completed(settings(), goal) == goal
    # A differential that the goal does say stays what it says.
    assert completed(FOUND, settings(operating_limit=reading(125, 6))).operating_limit == reading(125, 6)


def test_a_fixed_differential_is_what_its_scale_says_and_what_is_not_there_reads_nothing() -> None:
    fixed: dict[str, object] = {
        "boiler.controls.operating_limit.differential_scale": {"fixed": "9 psi"},
        "boiler.as_found.operating_limit_differential": None,
        "boiler.controls.low_fire_hold": None,
        "boiler.as_found.low_fire_hold": None,
    }
    seen = surveyed(laundry(fixed), FOUND)
    assert seen.operating_limit is not None
    assert seen.operating_limit.differential == pytest.approx(9 * PSI)
    assert seen.low_fire_hold is None
    # One that can be turned is what was read.
    assert seen.firing_rate == FOUND.firing_rate
    assert surveyed(laundry(fixed), settings()).operating_limit is None
    assert surveyed(laundry(), FOUND) == FOUND


def test_after_turning_some_dials_the_others_read_what_they_read() -> None:
    main, width = turned(OL, MAIN, 120, 125), turned(OL, DIFFERENTIAL, 8, 6)
    assert after_turning(FOUND, [main], frozenset()).operating_limit == reading(125, 8)
    assert after_turning(FOUND, [width], frozenset()).operating_limit == reading(120, 6)
    assert after_turning(FOUND, [width, main], frozenset({HL})).operating_limit == reading(125, 6)
    assert after_turning(FOUND, [width, main], frozenset({HL})).proved == frozenset({HL})
    assert after_turning(FOUND, [main], frozenset()).high_limit == FOUND.high_limit
    # A differential of which nobody knows the main scale waits for it.
    unread = replace(FOUND, operating_limit=None)
    assert after_turning(unread, [width], frozenset()).operating_limit is None
    assert after_turning(unread, [width, main], frozenset()).operating_limit == reading(125, 6)


def test_habit_lowers_bottom_up_and_raises_top_down() -> None:
    boiler = laundry()
    up = (
        turned(FR, MAIN, 110, 112),
        turned(HL, MAIN, 140, 142),
        turned(OL, MAIN, 120, 122),
        turned(HOLD, MAIN, 60, 61),
    )
    assert [each.dial.role for each in preferred(boiler, up)] == [HL, OL, FR, HOLD]
    down = tuple(replace(each, to=each.from_ - PSI) for each in up if each.from_ is not None)
    assert [each.dial.role for each in preferred(boiler, down)] == [HOLD, FR, OL, HL]
    # What goes down goes first.
    mixed = (up[1], down[0])
    assert [each.dial.role for each in preferred(boiler, mixed)] == [FR, HL]
    # Where a dial was not read the limits come first, main scales before differentials.
    unread = (turned(OL, DIFFERENTIAL, 8, 6), turned(FR, MAIN, None, 100), turned(OL, MAIN, 120, 110), down[1])
    assert [(each.dial.role, each.dial.turn) for each in preferred(boiler, unread)] == [
        (HL, MAIN),
        (OL, MAIN),
        (OL, DIFFERENTIAL),
        (FR, MAIN),
    ]


def test_a_main_scale_goes_before_its_differential_up_and_after_it_down() -> None:
    # The range counts above its scale: both raise the low-fire point.
    boiler = laundry()
    up = (turned(FR, DIFFERENTIAL, 10, 15), turned(FR, MAIN, 110, 112))
    assert [each.dial.turn for each in preferred(boiler, up)] == [MAIN, DIFFERENTIAL]
    down = (turned(FR, MAIN, 110, 105), turned(FR, DIFFERENTIAL, 15, 10))
    assert [each.dial.turn for each in preferred(boiler, down)] == [DIFFERENTIAL, MAIN]


def test_the_highest_point_that_a_dial_moves() -> None:
    boiler = laundry()
    # Main scale of the operating limit: its cut-out, above the firing rate and below the high limit.
    levels = [effect(boiler, turned(role, MAIN, 100, 101))[0] for role in (HL, OL, FR, HOLD)]
    assert levels == sorted(levels, reverse=True)
    assert effect(boiler, turned(OL, MAIN, 100, 101))[1]
    assert not effect(boiler, turned(OL, MAIN, 100, 99))[1]
    # A wider differential below the cut-out lowers the cut-in, which stands lower; above, it raises the low-fire point.
    level, rises = effect(boiler, turned(OL, DIFFERENTIAL, 8, 10))
    assert level < effect(boiler, turned(OL, MAIN, 100, 101))[0]
    assert level > effect(boiler, turned(FR, MAIN, 100, 101))[0]
    assert not rises
    assert effect(boiler, turned(OL, DIFFERENTIAL, 10, 8))[1]
    above = effect(boiler, turned(FR, DIFFERENTIAL, 10, 15))
    assert above == effect(boiler, turned(FR, MAIN, 100, 101))
    around = laundry({"boiler.controls.operating_limit.differential_counts": "around"})
    assert effect(around, turned(OL, DIFFERENTIAL, 8, 10)) == effect(around, turned(OL, MAIN, 100, 101))


@pytest.mark.parametrize("seed", range(25))
def test_the_cheapest_order_is_the_cheapest_of_all(seed: int) -> None:
    chance = Random(seed)
    costs: dict[int, Cost] = {mask: (chance.randint(0, 1), chance.randint(0, 2)) for mask in range(1, 16)}

    def price(order: tuple[int, ...]) -> tuple[Cost, int, tuple[int, ...]]:
        masks = [sum(1 << index for index in order[: count + 1]) for count in range(len(order))]
        total = tuple(sum(column) for column in zip(*(costs[mask] for mask in masks), strict=True))
        against = sum(order[one] > order[two] for one in range(4) for two in range(one + 1, 4))
        return total, against, order

    assert cheapest_order(4, costs.__getitem__) == min(map(price, permutations(range(4))))[2]


def test_nothing_to_do_has_an_empty_order() -> None:
    assert cheapest_order(0, lambda _: (1,)) == ()


def case(edits: dict[str, object] | None = None) -> Case:
    return case_of(survey(edits))


def proved_case(*roles: Role) -> Case:
    found = survey()
    boiler = found.plant.boilers[0]
    return prepare(found.plant, boiler, SettingsSet.PROPOSED, replace(FOUND, proved=frozenset(roles)))


def by_step(steps: tuple[Closing, ...]) -> dict[ClosingStep, Closing]:
    return {each.step: each for each in steps}


def test_the_last_steps_say_where_each_limit_acts_and_how_near_it_has_to() -> None:
    # 140, 120 and 112 psi by their dials, 0.22 psi early by half a foot of water; proved within half a psi.
    steps = by_step(closing_steps(proved_case(HL, OL)))
    high, low = steps[ClosingStep.PROVE_HIGH_LIMIT], steps[ClosingStep.PROVE_OPERATING_LIMIT]
    for step, acts, returns in ((high, 140.0, None), (low, 120.0, 112.0)):
        assert step.acts_at is not None
        assert step.acts_at / PSI == pytest.approx(acts - LEG, abs=1e-3)
        assert step.within is not None
        assert step.within / PSI == pytest.approx(0.5)
        assert step.stop_by_hand is not None
        assert step.stop_by_hand / PSI == pytest.approx(acts - LEG + 0.5, abs=1e-3)
        if returns is None:
            assert step.returns_at is None
        else:
            assert step.returns_at is not None
            assert step.returns_at / PSI == pytest.approx(returns - LEG, abs=1e-3)
        assert step.sets_it
        assert step.at_low_fire
    back, cycles = steps[ClosingStep.PUT_OPERATING_LIMIT_BACK], steps[ClosingStep.SEE_THREE_CYCLES]
    for step in (back, cycles):
        assert step.acts_at is not None
        assert step.returns_at is not None
        assert (step.acts_at - step.returns_at) / PSI == pytest.approx(8.0)
    assert next(iter(steps)) is ClosingStep.PROVE_HIGH_LIMIT
    assert list(steps)[-1] is ClosingStep.CLOSE_TEMPORARY_CHANGES


def test_a_limit_set_by_dial_has_to_act_within_its_dials_tolerance() -> None:
    high = by_step(closing_steps(proved_case()))[ClosingStep.PROVE_HIGH_LIMIT]
    assert high.within is not None
    assert high.within / PSI == pytest.approx(2.0)
    assert not high.sets_it


def test_other_controls_are_proved_where_they_will_be_and_no_hand_stops_them() -> None:
    assert ClosingStep.PROVE_CONTROL not in by_step(closing_steps(proved_case(HL, OL)))
    others = [step for step in closing_steps(proved_case(FR, HOLD)) if step.step is ClosingStep.PROVE_CONTROL]
    assert [step.role for step in others] == [FR, HOLD]
    rate, hold = others
    assert rate.acts_at is not None
    assert rate.returns_at is not None
    assert (rate.acts_at / PSI, rate.returns_at / PSI) == pytest.approx((125 - LEG, 110 - LEG), abs=1e-3)
    assert hold.acts_at is not None
    assert hold.acts_at / PSI == pytest.approx(60 - LEG, abs=1e-3)
    assert rate.stop_by_hand is None
    assert hold.stop_by_hand is None
    assert not rate.at_low_fire, "by hand it drives nothing"
    assert not hold.at_low_fire


def test_what_is_not_known_is_stopped_by_no_number() -> None:
    unread = case({"boiler.as_found.high_limit": None})
    high = by_step(closing_steps(unread))[ClosingStep.PROVE_HIGH_LIMIT]
    assert high.acts_at is None
    assert high.stop_by_hand is None
    vague = case({"boiler.controls.high_limit.tolerance": None})
    assert by_step(closing_steps(vague))[ClosingStep.PROVE_HIGH_LIMIT].stop_by_hand is None
    assert by_step(closing_steps(vague))[ClosingStep.PROVE_HIGH_LIMIT].within is None


def test_a_boiler_is_held_at_low_fire_only_where_every_burner_can_be() -> None:
    assert has_low_fire(laundry())
    gas: dict[str, object] = {"fuel": "natural gas", "firing": "modulating", "turndown": 4, "input": "8.35 MMBtu/h"}
    oil: dict[str, object] = {"fuel": "light oil", "firing": "on-off", "input": "8.35 MMBtu/h"}
    assert not has_low_fire(laundry({"boiler.burner": [gas, oil]}))


def test_a_margin_is_worse_where_both_ends_keep_it_or_where_it_is_below_the_worse() -> None:
    demand = case().demands[0]
    nought = 0.0
    assert is_worse(demand, -1.0, (5.0, 3.0)) is True
    assert is_worse(demand, -1.0, (-2.0, 3.0)) is False
    assert is_worse(demand, -3.0, (-2.0, 3.0)) is True
    assert is_worse(demand, -2.0, (3.0, -2.0)) is False
    missing = Missing(("load.need",))
    assert is_worse(demand, missing, (nought, nought)) is None
    assert is_worse(demand, -1.0, (missing, nought)) is None
    assert is_worse(demand, -1.0, (nought, missing)) is None


def test_what_one_set_of_settings_breaks_of_what_is_never_relaxed() -> None:
    assert not_kept(case()) == ((), ())
    broken, missing = not_kept(case({"boiler.as_found.high_limit": "149 psi"}))
    # 149 and two psi late are above the valves.
    assert "high-limit-stops-before-valve" in broken
    assert missing == ()
    broken, missing = not_kept(case({"boiler.controls.high_limit.tolerance": None}))
    assert broken == ()
    assert "controls.high_limit.tolerance.dial" in missing


def test_a_state_is_looked_at_against_both_ends() -> None:
    sound, late = case(), case({"boiler.as_found.high_limit": "149 psi"})
    look = look_at(late, sound, sound)
    assert "high-limit-stops-before-valve" in look.broken
    assert "high-limit-stops-before-valve" in look.not_clear
    assert look.unjudged == frozenset()
    # Where an end is as bad it is not the way that broke it; the burner may not fire all the same.
    same = look_at(late, late, sound)
    assert "high-limit-stops-before-valve" not in same.broken
    assert "high-limit-stops-before-valve" in same.not_clear
    vague = look_at(case({"boiler.controls.high_limit.tolerance": None}), sound, sound)
    assert "high-limit-stops-before-valve" in vague.unjudged
    assert "controls.high_limit.tolerance.dial" in vague.missing
    assert look_at(sound, sound, sound).not_clear == frozenset()
    # A cut-out in the band cuts it; one that is higher than at both ends is told by its own code.
    clear: dict[str, object] = {"boiler.as_found.firing_rate": "95 psi"}
    cut = look_at(case(), case(clear), case(clear))
    assert "low-fire-before-cut-out" in cut.band_cut
    assert "low-fire-before-cut-out" not in cut.worsened


def test_the_room_of_a_demand_is_known_or_says_what_is_missing() -> None:
    demands = {margin.code: margin for margin in case().demands}
    room = room_of(demands["restart-holds-need"], case({"load.need": None}))
    assert isinstance(room, Missing)
    assert "load.need" in room.keys
    assert isinstance(room_of(demands["restart-holds-need"], case()), float)


@pytest.mark.parametrize(
    ("contacts", "mercury"), [(("snap", "snap", "slidewire"), False), (("mercury", "snap", "slidewire"), True)]
)
def test_a_contact_that_holds_mercury_or_that_nobody_looked_at_is_told(
    contacts: tuple[str, ...], mercury: bool
) -> None:
    edits: dict[str, object] = {
        f"boiler.controls.{role}.contact": contact
        for role, contact in zip(("operating_limit", "high_limit", "firing_rate"), contacts, strict=True)
    }
    found = survey(edits | {"boiler.controls.low_fire_hold.contact": "snap"})
    boiler = found.plant.boilers[0]
    goal = replace(FOUND, high_limit=reading(139))
    assert moves_between(found.plant, boiler, FOUND, goal).mercury is mercury
    # The laundry's hold has no contact in its survey.
    unseen = survey(edits)
    assert moves_between(unseen.plant, unseen.plant.boilers[0], FOUND, goal).mercury
