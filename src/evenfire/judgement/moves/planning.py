"""Plan the moves: every state on the way judged, the cheapest order of them found, and each move explained."""

from evenfire.judgement.case import Case, SettingsSet, prepare
from evenfire.judgement.moves.closing import closing_steps, has_low_fire
from evenfire.judgement.moves.dials import completed, dials_to_turn, preferred, surveyed
from evenfire.judgement.moves.ordering import Cost, cheapest_order
from evenfire.judgement.moves.result import Moves, Obstacle, Why
from evenfire.judgement.moves.telling import told_moves
from evenfire.judgement.moves.watching import not_kept
from evenfire.judgement.moves.way import Way
from evenfire.judgement.outcome import Finding, NotJudged, Outcome, Severity
from evenfire.judgement.rulebook import judge
from evenfire.plant.boiler import Boiler
from evenfire.plant.controls import Contact, Role
from evenfire.plant.plant import Plant
from evenfire.plant.settings import Settings


def moves_between(plant: Plant, boiler: Boiler, found: Settings, goal: Settings) -> Moves:
    """The order in which the dials of one boiler are turned, one at a time, from ``found`` to ``goal``.

    Of all orders it is one in which, after every single move and with every dial at its worst corner, each demand that
    is never relaxed and is kept at both ends stays kept, and none that is broken gets worse than at the worse end;
    what is broken as found is cured as early as that allows; the band of the burner is cut as seldom as can be; and
    then the order is the one of habit. Where there is no such order, or it cannot be told, the answer says why and
    every dial is turned with the burner off and locked out. Settings aimed at that break a demand never relaxed, or
    cannot be judged, have no moves at all.
    """
    start = surveyed(boiler, found)
    end = completed(start, surveyed(boiler, goal))
    goal_case = prepare(plant, boiler, SettingsSet.PROPOSED, end)
    refused = _refused(goal_case)
    if refused:
        return _no_moves(boiler, refused)
    dials = preferred(boiler, dials_to_turn(start, end))
    way = Way(prepare(plant, boiler, SettingsSet.AS_FOUND, start), goal_case, dials)
    order = _order(way)
    masks = _states_of(order)
    outcomes = (judge(way.found), judge(way.goal))
    obstacles = (*_obstacles(way, masks), *_beside_the_dials(way, outcomes))
    unproved = bool(end.proved - start.proved)
    return Moves(
        steps=told_moves(way, order, obstacles),
        closing=closing_steps(way.goal) if dials or unproved else (),
        obstacles=obstacles if dials or unproved else (),
        unknown=tuple(each.dial for each in dials if each.from_ is None),
        look_first=_open_questions(way, outcomes),
        has_low_fire=has_low_fire(boiler),
        mercury=_may_hold_mercury(boiler),
    )


def _refused(goal: Case) -> tuple[Obstacle, ...]:
    broken, missing = not_kept(goal)
    return (
        *((Obstacle(why=Why.GOAL_BREAKS, codes=broken),) if broken else ()),
        *((Obstacle(why=Why.GOAL_NOT_JUDGED, missing=missing),) if missing else ()),
    )


def _no_moves(boiler: Boiler, refused: tuple[Obstacle, ...]) -> Moves:
    return Moves(
        steps=(),
        closing=(),
        obstacles=refused,
        unknown=(),
        look_first=(),
        has_low_fire=has_low_fire(boiler),
        mercury=_may_hold_mercury(boiler),
    )


def _order(way: Way) -> tuple[int, ...]:
    """The cheapest safe order; where there is none the burner is off all along, and cures and habit decide."""
    order = cheapest_order(len(way.dials), lambda mask: _cost(way, mask))
    if any(way.look(mask).broken or way.look(mask).unjudged for mask in _states_of(order)):
        return cheapest_order(len(way.dials), lambda mask: _cost_locked_out(way, mask))
    return order


def _cost_locked_out(way: Way, mask: int) -> Cost:
    proved = way.look_as_if_proved(mask)
    if any(each.from_ is None for each in way.dials):
        # What was not read is not clear either, so that it would choose the order; the limits shall.
        return (len(proved.broken),)
    return (len(proved.broken), len(proved.not_clear & way.not_clear_as_found))


def _cost(way: Way, mask: int) -> Cost:
    """What one state costs: safety, then the cure of what was broken as found, then what is only wanted.

    What is only wanted counts as if proved: a want that waits for a proof waits in every order.
    """
    look, proved = way.look(mask), way.look_as_if_proved(mask)
    return (
        len(look.broken),
        len(look.unjudged),
        len(look.not_clear & way.not_clear_as_found),
        len(look.band_cut),
        len(proved.worsened),
    )


def _states_of(order: tuple[int, ...]) -> tuple[int, ...]:
    """The bit mask after each move."""
    masks, mask = [], 0
    for index in order:
        mask |= 1 << index
        masks.append(mask)
    return tuple(masks)


def _obstacles(way: Way, masks: tuple[int, ...]) -> tuple[Obstacle, ...]:
    """Why the burner is locked out first, as far as the demands on the dials go."""
    broken_as_found, open_as_found = not_kept(way.found)
    unread = tuple(each.dial for each in way.dials if each.from_ is None)
    by_order = {code for mask in masks for code in way.look_as_if_proved(mask).broken}
    for_want_of_proof = {code for mask in masks for code in way.look(mask).broken} - by_order
    open_keys = dict.fromkeys((*open_as_found, *(key for mask in masks for key in way.look(mask).missing)))
    unread_keys = tuple(_key(dial.role, dial.turn) for dial in unread)
    # A reading that nobody took already says why the rest could not be judged.
    not_judged = tuple(key for key in open_keys if key not in unread_keys)
    every = (
        Obstacle(why=Why.STOP_AS_FOUND, codes=broken_as_found),
        Obstacle(why=Why.READING_MISSING, missing=unread_keys),
        Obstacle(why=Why.NO_SAFE_ORDER, codes=tuple(sorted(by_order))),
        Obstacle(why=Why.UNPROVED_ON_THE_WAY, codes=tuple(sorted(for_want_of_proof))),
        Obstacle(why=Why.NOT_JUDGED, missing=not_judged),
    )
    return tuple(each for each in every if each.codes or each.missing)


def _key(role: Role, turn: str) -> str:
    return f"settings.{role.value}" if turn == "main" else f"settings.{role.value}_differential"


def _beside_the_dials(way: Way, outcomes: tuple[tuple[Outcome, ...], tuple[Outcome, ...]]) -> tuple[Obstacle, ...]:
    """Stop findings of either end that are no demand on the dials: while one stands nothing may fire."""
    on_dials = {margin.code for margin in way.goal.demands}
    findings = {
        (outcome.code, outcome.subject): outcome
        for end in outcomes
        for outcome in end
        if isinstance(outcome, Finding) and outcome.severity is Severity.STOP and outcome.code not in on_dials
    }
    found = tuple(findings.values())
    codes = tuple(dict.fromkeys(each.code for each in found))
    return (Obstacle(why=Why.STOP_BESIDE_THE_DIALS, codes=codes, findings=found),) if found else ()


def _open_questions(way: Way, outcomes: tuple[tuple[Outcome, ...], tuple[Outcome, ...]]) -> tuple[str, ...]:
    """Keys without which a stop rule beside the dials was not judged at the end of the way."""
    on_dials = {margin.code for margin in way.goal.demands}
    keys = {
        key: None
        for outcome in outcomes[1]
        if isinstance(outcome, NotJudged) and outcome.severity is Severity.STOP and outcome.code not in on_dials
        for key in outcome.missing
    }
    return tuple(keys)


def _may_hold_mercury(boiler: Boiler) -> bool:
    controls = [control for role in Role if (control := boiler.controls.of(role)) is not None]
    return any(control.contact in {Contact.MERCURY, None} for control in controls)
