"""The checklist as the person reads it who must follow it, and the same as JSON."""

import json
import re
from functools import partial
from typing import Any

import pytest

from evenfire.delivery import units
from evenfire.delivery.report.moves_text import checklist_text, moves_json, moves_text
from evenfire.delivery.report.page import Page
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.words import CAUTIONS
from evenfire.delivery.words.moves import (
    LOCK_OUT,
    NOT_ACROSS,
    name_of_dial,
    say_closing,
    say_move,
    say_obstacle,
)
from evenfire.judgement.moves.planning import moves_between
from evenfire.judgement.moves.result import (
    BurnerState,
    Closing,
    ClosingStep,
    Dial,
    Direction,
    Move,
    Moves,
    Obstacle,
    Reason,
    ReasonKind,
    Why,
)
from evenfire.plant.controls import Role
from evenfire.plant.settings import DialReading, Settings
from evenfire.si import PA_PER_PSI, DiffPa, GaugePa
from tests.surveys import survey

US = partial(units.show, system=UnitSystem.US)
PAGE = Page(80, UnitSystem.US)
LEVEL: dict[str, object] = {
    f"boiler.controls.{role.value}.water_leg": "none" for role in (Role.OPERATING_LIMIT, Role.HIGH_LIMIT)
}


def readings(
    high: float | None, cut_out: float, rate: float | None = 90, proved: frozenset[Role] = frozenset()
) -> Settings:
    def psi(value: float) -> GaugePa:
        return GaugePa(value * PA_PER_PSI)

    def width(value: float) -> DiffPa:
        return DiffPa(value * PA_PER_PSI)

    return Settings(
        high_limit=None if high is None else DialReading(main=psi(high)),
        operating_limit=DialReading(main=psi(cut_out), differential=width(8)),
        firing_rate=None if rate is None else DialReading(main=psi(rate), differential=width(15)),
        low_fire_hold=DialReading(main=psi(60)),
        proved=proved,
    )


def planned(found: Settings, goal: Settings, edits: dict[str, object] | None = None, plant: str = "laundry") -> Moves:
    surveyed = survey({**LEVEL, "boiler.as_found": None, **(edits or {})}, plant).plant
    return moves_between(surveyed, surveyed.boilers[0], found, goal)


RAISED = planned(readings(130, 110), readings(140, 120, 100))
CURED = planned(readings(155, 110), readings(130, 104))
PROVED_LATER = planned(readings(130, 110), readings(142, 110, proved=frozenset({Role.HIGH_LIMIT})))
UNREAD = planned(readings(None, 110), readings(140, 120, 100))
REFUSED = planned(readings(130, 110), readings(151, 110))
NOTHING = planned(readings(130, 110), readings(130, 110))
BESIDE = planned(readings(130, 110), readings(132, 110), {"boiler.controls.high_limit.reset": "automatic"})
OPEN = planned(readings(130, 110), readings(132, 110), {"boiler.controls.high_limit.reset": None})
EVERY = {
    "raised": RAISED,
    "cured": CURED,
    "proved later": PROVED_LATER,
    "unread": UNREAD,
    "refused": REFUSED,
    "nothing": NOTHING,
    "beside": BESIDE,
    "open": OPEN,
}
SOME = pytest.mark.parametrize("moves", EVERY.values(), ids=EVERY.keys())


def flat(text: str) -> str:
    return " ".join(text.split())


@SOME
@pytest.mark.parametrize("system", list(UnitSystem))
@pytest.mark.parametrize("width", [44, 60, 72, 100])
def test_no_line_is_wider_than_the_page(moves: Moves, system: UnitSystem, width: int) -> None:
    assert max(len(line) for line in moves_text(moves, Page(width, system)).splitlines()) <= width


@SOME
def test_every_step_has_its_box_in_its_order(moves: Moves) -> None:
    boxes = [int(number) for number in re.findall(r"^\[ \] (\d+)", moves_text(moves, PAGE), re.MULTILINE)]
    is_refused = any(each.why in {Why.GOAL_BREAKS, Why.GOAL_NOT_JUDGED} for each in moves.obstacles)
    steps = len(moves.steps) + len(moves.closing)
    first = 0 if moves.is_locked_out_first and not is_refused else 1
    assert boxes == list(range(first, steps + 1))


def test_a_step_reads_as_it_is_to_be_done() -> None:
    text = flat(checklist_text(RAISED, PAGE))
    assert NOT_ACROSS in text
    assert "[ ] 1 High-limit set point: up from 130 psi to 140 psi. Trip 140 psi (was 130 psi)." in text
    assert "[ ] 2 Operating-limit set point: up from 110 psi to 120 psi. Cut-out 120 psi (was 110 psi)" in text
    assert "cut-in 112 psi (was 102 psi)" in text
    assert "[ ] 3 Firing-rate set point: up from 90 psi to 100 psi." in text


def test_the_same_in_bar() -> None:
    """130 psi are 8.963 bar (NIST SP 811: 1 psi = 6.894757 kPa)."""
    assert "High-limit set point: up from 8.96 bar" in flat(moves_text(RAISED, Page(80, UnitSystem.SI)))


def test_the_lock_stands_before_everything_else_and_says_why() -> None:
    text = moves_text(CURED, PAGE)
    assert text.index(LOCK_OUT) < text.index("[ ] 1")
    assert "high limit under the safety valve" in flat(text[: text.index("[ ] 1")])
    assert "The lock may come off after move 1." in flat(text)


def test_a_lock_that_stays_until_the_proof_says_so() -> None:
    text = flat(moves_text(PROVED_LATER, PAGE))
    assert "only as good as its scale until it is proved" in text
    assert "The next fire is that of the proofs at the end, at low fire by hand." in text
    assert "to about 142 psi" in text


def test_a_stop_that_no_dial_cures_is_told_with_the_words_of_its_rule() -> None:
    text = flat(moves_text(BESIDE, PAGE))
    assert "No dial cures this" in text
    assert "may come off" not in text
    assert "[ ] 1" in text


def test_what_was_not_judged_is_to_be_looked_at_first() -> None:
    text = moves_text(OPEN, PAGE)
    assert "Not judged, so look first" in flat(text)
    assert "reset of the high limit" in flat(text[: text.index("[ ] 1")])


def test_a_dial_that_nobody_read_is_read_before_it_is_turned() -> None:
    text = flat(moves_text(UNREAD, PAGE))
    assert "[ ] 1 High-limit set point: read it, write it down, then to 140 psi." in text
    assert "Nobody read as found: setting of the high limit" in text


def test_settings_that_are_not_safe_get_no_checklist() -> None:
    text = moves_text(REFUSED, PAGE)
    assert "[ ]" not in text
    assert "no dial is to be turned" in flat(text)
    assert "high limit within the MAWP" in flat(text)


def test_where_nothing_is_to_be_turned_that_is_all() -> None:
    text = moves_text(NOTHING, PAGE)
    assert "No dial has to be turned." in text
    assert "[ ]" not in text


def test_the_end_proves_from_the_top_down_and_leaves_nothing_open() -> None:
    text = flat(moves_text(RAISED, PAGE))
    marks = (
        "Prove the high limit",
        "Put the operating limit back",
        "Prove the operating limit",
        "See three full cycles",
        "back to automatic",
        "Every temporary change is closed",
    )
    places = [text.index(mark) for mark in marks]
    assert places == sorted(places)
    assert "Not acted by 142 psi: stop it by hand" in text


def test_a_burner_without_low_fire_is_not_told_to_fire_low() -> None:
    edits: dict[str, object] = {
        "boiler.burner.firing": "on-off",
        "boiler.burner.turndown": None,
        "boiler.controls.firing_rate": None,
    }
    moves = planned(readings(130, 110, None), readings(140, 120, None), edits)
    assert moves.steps
    assert "low fire by hand" not in flat(checklist_text(moves, PAGE))


@pytest.mark.parametrize("role", [Role.FIRING_RATE, Role.LOW_FIRE_HOLD])
def test_a_control_that_drives_nothing_by_hand_is_looked_at_in_automatic(role: Role) -> None:
    """Common practice, no source: in manual a person drives the burner and the control does not."""
    closing = Closing(
        step=ClosingStep.PROVE_CONTROL,
        role=role,
        acts_at=GaugePa(125 * PA_PER_PSI),
        returns_at=GaugePa(110 * PA_PER_PSI) if role is Role.FIRING_RATE else None,
        within=DiffPa(1 * PA_PER_PSI),
        sets_it=True,
    )
    told = say_closing(closing, PAGE.show)
    assert "by hand" not in told
    assert "in automatic" in told
    assert "125 psi" in told
    assert "as left it counts as set by its dial" in told
    if role is Role.FIRING_RATE:
        assert "leave full fire" in told
        assert "reaches low fire" in told
        assert "110 psi" in told


def test_every_caution_goes_with_the_moves() -> None:
    text = flat(moves_text(RAISED, PAGE))
    assert [caution for caution in CAUTIONS if caution not in text] == []


def test_mercury_is_only_spoken_of_where_a_control_may_hold_it() -> None:
    snap: dict[str, object] = {f"boiler.controls.{role.value}.contact": "snap" for role in Role}
    found, goal = readings(130, 110), readings(132, 110)
    assert "mercury" not in moves_text(planned(found, goal, snap), PAGE)
    old = {**snap, "boiler.controls.high_limit.contact": "mercury"}
    assert "mercury" in moves_text(planned(found, goal, old), PAGE)
    unknown = {**snap, "boiler.controls.high_limit.contact": None}
    assert "mercury" in moves_text(planned(found, goal, unknown), PAGE)


def test_no_step_says_to_bridge_or_jumper_a_limit() -> None:
    for moves in EVERY.values():
        said = [say_move(move, US) for move in moves.steps]
        steps = [part for each in said for part in (each.do, each.burner, each.watch, each.see, each.why)]
        text = " ".join([*steps, *(say_closing(each, US) for each in moves.closing)]).lower()
        assert "jumper" not in text
        assert text.count("bridge") == text.count("bridge nothing")


def test_there_are_words_for_every_obstacle_and_every_reason() -> None:
    found = BESIDE.obstacles[0].findings
    said = {
        why: say_obstacle(
            Obstacle(why=why, codes=("high-limit-below-valve",), missing=("load.need",), findings=found), US
        )
        for why in Why
    }
    assert len(set(said.values())) == len(Why)
    reasons = {kind: say_move(_move(kind), US).why for kind in ReasonKind}
    assert len(set(reasons.values())) == len(ReasonKind)
    assert all(text.endswith(".") for text in (*said.values(), *reasons.values()))


def test_there_are_words_for_every_state_of_the_burner_and_every_closing_step() -> None:
    for state in BurnerState:
        for after in BurnerState:
            said = say_move(_move(ReasonKind.ALONE, state, after), US).burner
            assert said.endswith(".")
            freed = state is BurnerState.LOCKED_OUT and after is not BurnerState.LOCKED_OUT
            assert ("may come off" in said) is freed
            assert ("lock it out" in said) is (after is BurnerState.LOCKED_OUT and state is not after)
    assert len({say_closing(Closing(step=step, role=Role.FIRING_RATE), US) for step in ClosingStep}) == 7
    assert name_of_dial(Dial(Role.LOW_FIRE_HOLD, "differential")) == "low-fire hold differential"


def test_a_burner_that_must_be_locked_out_again_is_told_so() -> None:
    said = say_move(_move(ReasonKind.ALONE, BurnerState.OFF_FOR_THE_TURN, BurnerState.LOCKED_OUT), US)
    assert "lock it out" in said.burner
    assert "Switch it on" not in said.burner


def _move(
    kind: ReasonKind,
    burner: BurnerState = BurnerState.MAY_FIRE,
    after: BurnerState = BurnerState.MAY_FIRE,
) -> Move:
    return Move(
        dial=Dial(Role.HIGH_LIMIT, "main"),
        direction=Direction.UP,
        from_=130 * PA_PER_PSI,
        to=132 * PA_PER_PSI,
        to_be_proved=False,
        points=(),
        swept=None,
        burner=burner,
        burner_after=after,
        stop_by_hand=None,
        reason=Reason(kind=kind, codes=("cut-out-below-high-limit",), other=Dial(Role.OPERATING_LIMIT, "main")),
    )


@SOME
def test_the_json_has_one_shape_and_every_number_ends_in_its_unit(moves: Moves) -> None:
    told = json.loads(json.dumps(moves_json(moves, US), allow_nan=False))
    assert [entry["step"] for entry in told] == list(range(1, len(told) + 1))
    assert len({frozenset(entry) for entry in told}) <= 1
    for entry in told:
        for key, value in {**entry, **{k: v for point in entry["points"] for k, v in point.items()}}.items():
            if isinstance(value, int | float) and not isinstance(value, bool) and key != "step":
                assert key.endswith(("_pa_gauge", "_pa")), key


def test_the_json_begins_with_the_lock_where_there_is_one() -> None:
    assert [entry["kind"] for entry in _entries(CURED)][:2] == ["lock out", "turn"]
    assert _entries(CURED)[0]["codes"]
    assert _entries(RAISED)[0]["kind"] == "turn"
    assert _entries(NOTHING) == []
    refused = _entries(REFUSED)
    assert [entry["kind"] for entry in refused] == ["lock out"]
    assert refused[0]["reason"] == "goal breaks"


def test_the_json_of_a_turn_is_that_of_the_dial() -> None:
    turn = _entries(RAISED)[1]
    assert (turn["control"], turn["dial"], turn["direction"]) == ("operating_limit", "main", "up")
    assert (turn["from_pa_gauge"], turn["to_pa_gauge"]) == pytest.approx((110 * PA_PER_PSI, 120 * PA_PER_PSI))
    assert turn["from_pa"] is None
    assert [point["point"] for point in turn["points"]] == ["cut_out", "cut_in"]


def _entries(moves: Moves) -> list[dict[str, Any]]:
    told: list[dict[str, Any]] = json.loads(json.dumps(moves_json(moves, US)))
    return told
