"""What a proof says, in sentences: its checks, what it found out, how to fire by the clock, what to do next."""

from collections.abc import Callable, Iterable
from math import ceil
from typing import Final, assert_never

from evenfire.delivery.units import Rounding, number_in
from evenfire.delivery.words import proofs as words
from evenfire.delivery.words.clock import lasting
from evenfire.delivery.words.cooling import PREFIXES
from evenfire.delivery.words.entry import Show
from evenfire.delivery.words.names import name_of_key
from evenfire.delivery.words.warming_saying import besides, known_of_warming, say_special, takes
from evenfire.judgement.case import Case
from evenfire.judgement.proofs.result import Check, Fact, FiringSchedule, Found, Proof, Scenario, WallStrain, Watched
from evenfire.physics.schedule import FireByTheClock, FireSteadily, Firing, NoFiringFits
from evenfire.si import PA_PER_PSI, Dimension, Quantity

YES_OR_NO: Final = frozenset(
    {
        Watched.NO_STOP,
        Watched.HOLD_LETS_GO,
        Watched.KEPT_LOW,
        Watched.HOLD_IS_NO_TRAP,
        Watched.STAYS_OFF,
        Watched.RESTARTS,
        Watched.LOW_FIRE_FIRST,
        Watched.RUNS_THROUGH,
    }
)
"""They hold or they do not; a margin says nothing of them."""
MOST_MARGINS: Final = 2
"""Of a proof that holds, unless every one is asked for."""
_STANDS_FIRST: Final = (
    Found.PINNED_BEFORE,
    Found.PINNED_BY_HOLD,
    Found.STOOD_OFF,
    Found.BROKE_OFF,
    Found.SHORT_OF_RELIEF,
)
_UP: Final = frozenset(
    {Found.RUN_ON, Found.OVERSHOOT, Found.LOWEST_LOAD_RIDDEN, Found.ANY_FALL, Found.SHORT_OF_RELIEF, Found.HIGHEST}
)
_DOWN: Final = frozenset({Found.LARGEST_PICK_UP, Found.FASTEST_FALL, Found.LOWEST})
_FOLLOW_FROM_HOLD: Final = frozenset({Watched.NEED, Watched.DIP, Watched.DIP_TIME})
_WALL_FINEST: Final = 100 * PA_PER_PSI
"""A stress from heat alone is known no better [Pa]."""
_SMALLEST: Final = 1e-3
"""Of a share or a pressure: less is told as nought."""


def worst_of_each(proof: Proof) -> tuple[Check, ...]:
    """The worst check of each thing looked at, the failed ones first, then the narrowest; yes or no last."""
    found: dict[Watched, Check] = {}
    for check in proof.checks:
        found.setdefault(check.watched, check)
    return tuple(sorted(found.values(), key=_kind))


def _kind(check: Check) -> tuple[bool, bool, bool]:
    """Margins of pressure before those of time: seconds and pascals cannot be weighed against each other."""
    return check.holds, check.watched in YES_OR_NO, check.margin.dimension is Dimension.TIME


def told_checks(proof: Proof) -> tuple[Check, ...]:
    """What is told of a proof: all that failed, else its narrowest margins, else what plainly holds."""
    worst = worst_of_each(proof)
    failed = tuple(check for check in worst if not check.holds)
    return failed or worst[:MOST_MARGINS]


def sentences(case: Case, proof: Proof, show: Show) -> str:
    """What was done and what came of it."""
    staged = words.SCENARIOS[proof.scenario].staged
    clauses = [clause(case, proof, check, show) for check in told_checks(proof)]
    return f"{staged} {'; and '.join(clauses)}." if clauses else f"{staged.rstrip('.,')}."


def clause(case: Case, proof: Proof, check: Check, show: Show) -> str:
    """One check, to end a sentence."""
    entry = entry_of(proof.scenario, check.watched)
    return (entry.holds if check.holds else entry.fails).format_map(_places(case, proof, check, show))


def entry_of(scenario: Scenario, watched: Watched) -> words.WatchedWords:
    """The wording of what is looked at, as this scenario has it."""
    return words.SPECIAL.get((scenario, watched), words.WATCHED[watched])


def to_do(case: Case, proof: Proof, show: Show) -> str:
    """What to do about everything that fails, each thing once."""
    failed = [check for check in told_checks(proof) if not check.holds]
    if any(check.watched is Watched.STAYS_ABOVE_HOLD for check in failed):
        # What low pressure does follows from the hold; no cut-in mends it.
        failed = [check for check in failed if check.watched not in _FOLLOW_FROM_HOLD]
    todo = (
        entry_of(proof.scenario, check.watched).do.format_map(_places(case, proof, check, show)) for check in failed
    )
    return " ".join(dict.fromkeys([*todo, *besides(case, proof, show)]))


def _places(case: Case, proof: Proof, check: Check, show: Show) -> dict[str, str]:
    rises = check.limit.value >= check.observed.value if check.holds else check.limit.value < check.observed.value
    margin = Quantity(abs(check.margin.value), check.margin.dimension)
    return {
        # Both are rounded towards danger: what is told is never better than what was seen.
        "observed": _shown(check.observed, show, Rounding.UP if rises else Rounding.DOWN),
        "limit": _shown(check.limit, show, Rounding.DOWN if rises else Rounding.UP),
        "margin": _shown(margin, show, Rounding.DOWN if check.holds else Rounding.UP),
        "where": _where(case, proof.scenario, check.shown),
        "at": "" if check.at is None else lasting(check.at.value),
    }


def _shown(quantity: Quantity, show: Show, rounding: Rounding) -> str:
    return lasting(quantity.value) if quantity.dimension is Dimension.TIME else show(quantity, rounding=rounding)


def _where(case: Case, scenario: Scenario, shown: str) -> str:
    if scenario is Scenario.STEADY_LOADS:
        return f" at a load of {shown.replace('%', ' %')}"
    return f" on {shown}" if len(case.boiler.burners) > 1 else ""


def found_out(case: Case, proof: Proof, show: Show) -> tuple[str, ...]:
    """What was found out beside the checks, as sentences; where there are several fuels, one for each."""
    groups: dict[str, list[str]] = {}
    several = len(case.boiler.burners) > 1
    by_run = several or proof.scenario is Scenario.SHUTDOWN
    facts = sorted(proof.facts, key=lambda fact: fact.found not in _STANDS_FIRST)
    for fact in facts:
        told = say_fact(proof, fact, show)
        if told:
            name = fact.shown if by_run and fact.found is not Found.STOOD_OFF else ""
            groups.setdefault(name, []).append(told)
    lines = [_sentence(name, parts) for name, parts in groups.items()]
    lines += known_of_warming(case, proof)
    lines += [_schedule(each, show, name=several) for each in proof.schedules]
    lines += [_wall(each, show, name=several) for each in proof.walls]
    if proof.not_told:
        lines.append(words.TELLS_MORE.format(keys="; ".join(name_of_key(key) for key in proof.not_told)))
    return tuple(lines)


def _sentence(name: str, parts: Iterable[str]) -> str:
    text = "; ".join(parts)
    return f"{PREFIXES.get(name, f'On {name}')}: {text}." if name else f"{text[0].upper()}{text[1:]}."


def say_fact(proof: Proof, fact: Fact, show: Show) -> str:
    """One number that was found out; empty where it says nothing."""
    entry, value = words.FOUND[fact.found], fact.value.value
    special = say_special(proof, fact, show)
    if special is not None:
        return special
    others = {each.found for each in proof.facts}
    if fact.found is Found.LOWEST_LOAD_RIDDEN and Found.ANY_FALL in others:
        return ""
    if fact.found is Found.STARTS and value == 0.0 and Found.STOOD_OFF in others:
        return ""
    told = entry.told
    if fact.found is Found.LARGEST_PICK_UP and proof.scenario is Scenario.PICK_UP_AFTER_RESTART:
        told = words.AFTER_RESTART
    is_nought = value == 0.0 or (fact.value.dimension is Dimension.FRACTION and value < _SMALLEST)
    if is_nought and fact.found is not Found.LOWEST:
        return entry.nought
    where = f" at a load of {fact.shown.replace('%', ' %')}" if proof.scenario is Scenario.STEADY_LOADS else ""
    return told.format(value=_value(fact, show), where=where)


def _value(fact: Fact, show: Show) -> str:
    special = _SPECIAL_VALUES.get(fact.found)
    if special is not None:
        return special(fact.value)
    rounding = Rounding.UP if fact.found in _UP else Rounding.DOWN if fact.found in _DOWN else Rounding.NEAREST
    if fact.value.dimension is Dimension.FRACTION:
        return f"{_whole_percent(fact.value.value, rounding)} %"
    return _shown(fact.value, show, rounding)


def _whole_percent(share: float, rounding: Rounding) -> int:
    """A search by halves knows no tenths of a percent."""
    percent = 100 * share
    near = round(percent)
    if rounding is Rounding.UP:
        return near if percent <= near + 1e-9 else near + 1
    return near if percent >= near - 1e-9 else near - 1


def _times_an_hour(frequency: Quantity) -> str:
    return f"{number_in(frequency, '/h'):.1f}".removesuffix(".0")


def _per_minute(frequency: Quantity) -> str:
    """Shares of full load per second as percent a minute, rounded down."""
    return f"{int(frequency.value * 60 * 100)} %"


_SPECIAL_VALUES: Final[dict[Found, Callable[[Quantity], str]]] = {
    Found.STARTS: _times_an_hour,
    Found.FASTEST_FALL: _per_minute,
}


def _schedule(schedule: FiringSchedule, show: Show, *, name: bool) -> str:
    parts = "; ".join(_firing(firing, show) for firing in schedule.firings)
    told = words.FIRE_BY_CLOCK.format(parts=parts, takes=takes(schedule))
    return f"On {schedule.name}: {told[0].lower()}{told[1:]}" if name else told


def _firing(firing: Firing, show: Show) -> str:
    start, end = (
        show(Quantity(temperature, Dimension.TEMPERATURE))
        for temperature in (firing.span.from_temperature, firing.span.to_temperature)
    )
    match firing:
        case FireSteadily():
            return words.CONTINUOUS.format(start=start, end=end)
        case FireByTheClock():
            return words.BY_THE_CLOCK.format(start=start, end=end, on=firing.minutes_on, off=firing.minutes_off)
        case NoFiringFits():
            return words.NO_FIRING.format(start=start, end=end)
    assert_never(firing)


def _wall(strain: WallStrain, show: Show, *, name: bool) -> str:
    whole = _WALL_FINEST * ceil(abs(strain.stress) / _WALL_FINEST)
    stress = show(Quantity(whole, Dimension.PRESSURE_DIFFERENCE))
    told = words.WALL.format(stress=stress, at=lasting(strain.at))
    return f"On {strain.name}: {told}." if name else f"{told[0].upper()}{told[1:]}."
