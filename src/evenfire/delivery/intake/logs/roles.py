"""Which column is what: as the plant file says, else by its header and its unit; two that fit alike are asked about."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from evenfire.delivery.intake.logs.cells import folded, is_nothing, number_of, switch_of
from evenfire.delivery.intake.logs.header_units import (
    FoundUnit,
    is_unit,
    stated_unit_text,
    unit_in,
    unit_texts,
    why_not,
    without_unit,
)
from evenfire.delivery.intake.logs.log import Basis, Unused
from evenfire.delivery.intake.logs.refusing import quoted, refuse
from evenfire.delivery.intake.logs.role_words import WORDS
from evenfire.delivery.intake.logs.time_columns import place_of
from evenfire.delivery.intake.logs.times import Sampled
from evenfire.delivery.intake.logs.wishes import DIMENSIONS, ColumnWish, LogWishes, Role
from evenfire.delivery.units import accepted
from evenfire.si import Dimension

SURE: Final = 3
LIKELY: Final = 1
_SWITCHED: Final = (Role.FLAME, Role.FEED_PUMP)
_WITHOUT_UNIT: Final = (Role.FLAME, Role.FEED_PUMP, Role.FIRING, Role.LEVEL)
"""What may be known from its values where no unit is said."""
_NOT_SWITCHED: Final = frozenset(Role) - {*_SWITCHED, Role.FIRING}
_FULL: Final = 1.000_001


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """A column that is taken in."""

    role: Role
    place: int
    header: str
    unit: FoundUnit
    basis: Basis
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Roles:
    """What became of the columns of one file."""

    taken: tuple[Taken, ...]
    unused: tuple[Unused, ...]
    open_roles: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Candidate:
    role: Role
    place: int
    score: int


def roles_of(sampled: Sampled, times: tuple[int, ...], wishes: LogWishes) -> Roles:
    """The roles of the columns of one file.

    Raises
    ------
    BadLog
        The plant file names a column or a unit that is not there.
    """
    stated = [_stated(sampled, wish, times) for wish in wishes.columns if _has(sampled, wish, wishes)]
    used = {*times, *(taken.place for taken in stated)}
    candidates = [
        candidate
        for place in range(len(sampled.headers))
        if place not in used
        for candidate in _candidates(sampled, place)
        if wishes.of(candidate.role) is None
    ]
    guessed: list[Taken] = []
    lacking: list[str] = []
    said: dict[int, str] = {}
    for role in sorted(Role, key=lambda role: -max((c.score for c in candidates if c.role is role), default=0)):
        rivals = [each for each in candidates if each.role is role and each.place not in used]
        best = [each for each in rivals if each.score == max(rival.score for rival in rivals)]
        if not best:
            continue
        if len(best) > 1:
            lacking.append(_several(sampled, role, best))
            said |= {each.place: f"may be the {named(role)}, as others may" for each in best}
            continue
        place = best[0].place
        used.add(place)
        found = _unit_of(sampled, place, role)
        if isinstance(found, str):
            lacking.append(_lacks_unit(sampled, role, place, found))
            said[place] = f"looks like the {named(role)}, but {found}"
            continue
        guessed.append(_guess(sampled, role, place, found, rivals))
        said |= {each.place: f"looks less like the {named(role)}" for each in rivals if each.place != place}
    unused = tuple(
        Unused(header=header, why=said.get(place, "nothing says what it is"))
        for place, header in enumerate(sampled.headers)
        if place not in {*times, *(taken.place for taken in (*stated, *guessed))} and _is_filled(sampled, place)
    )
    order = list(Role)
    taken = tuple(sorted((*stated, *guessed), key=lambda each: order.index(each.role)))
    return Roles(taken=taken, unused=unused, open_roles=tuple(lacking))


def named(role: Role) -> str:
    """A role in words."""
    return role.value.replace("_", " ")


def _has(sampled: Sampled, wish: ColumnWish, wishes: LogWishes) -> bool:
    """Of several files each may have other columns; a file that has none of those named is refused later."""
    wanted = folded(wish.header)
    return any(folded(header) == wanted for header in sampled.headers) or not any(
        folded(other.header) in {folded(header) for header in sampled.headers} for other in wishes.columns
    )


def _stated(sampled: Sampled, wish: ColumnWish, times: tuple[int, ...]) -> Taken:
    place = place_of(sampled, wish.header, named(wish.role))
    if place in times:
        refuse(
            sampled.name,
            f"{quoted(wish.header)} holds the times, and the plant file names it as {named(wish.role)} too",
            "Name another column.",
        )
    header = sampled.headers[place]
    if wish.unit is not None:
        unit = _plain_number(wish.unit) if wish.unit in {"1", "fraction"} else unit_in(wish.unit, DIMENSIONS[wish.role])
        if unit is None:
            refuse(
                sampled.name,
                f"the unit {quoted(wish.unit)} of {quoted(header)} {why_not(wish.unit, DIMENSIONS[wish.role])}",
                accepted(DIMENSIONS[wish.role][0]),
            )
        return Taken(
            role=wish.role, place=place, header=header, unit=unit, basis=Basis.STATED, why="the plant file says so"
        )
    found = _unit_of(sampled, place, wish.role)
    if isinstance(found, str):
        refuse(
            sampled.name,
            f"{quoted(header)} is the {named(wish.role)}, and {found}",
            f"Write its unit into the plant file: {wish.role.value} = "
            f'{{ column = "{header}", unit = "{_example(wish.role)}" }} under [log].',
        )
    return Taken(
        role=wish.role,
        place=place,
        header=header,
        unit=found[0],
        basis=Basis.STATED,
        why=f"the plant file says so; {found[1]}",
    )


def _plain_number(text: str) -> FoundUnit:
    return FoundUnit(text=text, dimension=Dimension.FRACTION, unit=None)


def _candidates(sampled: Sampled, place: int) -> list[_Candidate]:
    """The roles that a column may have, by its header; one whose unit measures something else has none of them."""
    header = _words(sampled.headers[place])
    name = _words(without_unit(sampled.headers[place]))
    below = sampled.units[place] if sampled.units else ""
    found: list[_Candidate] = []

    def finds(pattern: re.Pattern[str]) -> bool:
        return pattern.search(name) is not None or pattern.search(header) is not None

    for role, words in WORDS.items():
        score = SURE if finds(words.sure) else LIKELY if finds(words.likely) else 0
        if not score or words.against.search(header) or not _can_hold(sampled, place, role):
            continue
        text = stated_unit_text(sampled.headers[place], below)
        fits = any(unit_in(each, DIMENSIONS[role]) for each in unit_texts(sampled.headers[place], below))
        if not fits and text is not None and is_unit(text):
            continue
        # A word such as gas alone is no flow of gas unless a unit says so; a pressure has no other name.
        if score == LIKELY and not fits and role not in {Role.PRESSURE, Role.LEVEL, *_SWITCHED}:
            continue
        found.append(_Candidate(role, place, 2 * score + fits))
    best = max((each.score for each in found), default=0)
    return [each for each in found if each.score == best]


def _words(header: str) -> str:
    """A header as the patterns of the roles know it."""
    return re.sub(r"[_\W]+", " ", folded(header)).strip()


def _can_hold(sampled: Sampled, place: int, role: Role) -> bool:
    """Whether what stands in a column may be a reading of a role; words for on and off only where it is switched."""
    texts = [text for text in sampled.texts(place)[:2000] if not is_nothing(text)]
    if not texts:
        return True
    numbers = sum(number_of(text, sampled.decimals) is not None for text in texts)
    switches = 0 if role in _NOT_SWITCHED else sum(switch_of(text) is not None for text in texts)
    return numbers + switches > len(texts) / 2


def _unit_of(sampled: Sampled, place: int, role: Role) -> tuple[FoundUnit, str] | str:
    """The unit of a column and whence it is known; else what is wrong, as the rest of a sentence."""
    header, below = sampled.headers[place], sampled.units[place] if sampled.units else ""
    for text in unit_texts(header, below):
        unit = unit_in(text, DIMENSIONS[role])
        if unit is not None:
            return unit, f'unit "{text}" {"in the row of units" if below else "by its header"}'
    stated = stated_unit_text(header, below)
    if stated is not None and role not in _SWITCHED:
        return f'its unit "{stated}" {why_not(stated, DIMENSIONS[role])}'
    if role not in _WITHOUT_UNIT:
        return "no unit is said"
    return _unit_by_values(sampled, place, role)


def _unit_by_values(sampled: Sampled, place: int, role: Role) -> tuple[FoundUnit, str] | str:
    """Shares of one reach to 1, shares of a hundred far beyond it."""
    texts = sampled.texts(place)
    values = [value for text in texts if (value := number_of(text, sampled.decimals)) is not None and value >= 0]
    if any(switch_of(text) is not None for text in texts) or (values and max(values) <= _FULL):
        if role is Role.LEVEL:
            return "no unit is said"
        return _plain_number("1"), "no unit is said; its values reach from 0 to 1"
    if values and max(values) <= 110:
        unit = unit_in("%", (Dimension.FRACTION,))
        if unit is not None and (role is not Role.LEVEL or max(values) > 20):
            return unit, f"no unit is said; its values reach {max(values):g}, so they are per cent"
    return "no unit is said"


def _guess(
    sampled: Sampled, role: Role, place: int, found: tuple[FoundUnit, str], rivals: Sequence[_Candidate]
) -> Taken:
    header = sampled.headers[place]
    others = [quoted(sampled.headers[each.place]) for each in rivals if each.place != place][:3]
    beside = f"; {' and '.join(others)} {'looks' if len(others) == 1 else 'look'} less like it" if others else ""
    return Taken(
        role=role,
        place=place,
        header=header,
        unit=found[0],
        basis=Basis.GUESSED,
        why=f"by its name; {found[1]}{beside}",
    )


def _several(sampled: Sampled, role: Role, best: Sequence[_Candidate]) -> str:
    headers = [quoted(sampled.headers[each.place]) for each in best]
    listed = ", ".join(headers[:4]) + (f" and {len(headers) - 4} more" if len(headers) > 4 else "")
    example = sampled.headers[best[0].place]
    return (
        f'{listed} may each be the {named(role)}. Under [log]: {role.value} = {{ column = "{example}" }} chooses one.'
    )


def _lacks_unit(sampled: Sampled, role: Role, place: int, why: str) -> str:
    header = sampled.headers[place]
    return (
        f"{quoted(header)} looks like the {named(role)}, but {why}. Under [log]: {role.value} = "
        f'{{ column = "{header}", unit = "{_example(role)}" }}, with the unit that it has.'
    )


def _example(role: Role) -> str:
    return {
        Role.PRESSURE: "psi",
        Role.STEAM_FLOW: "lb/h",
        Role.FEED_FLOW: "lb/h",
        Role.FUEL: "ft3/h",
        Role.STEAM_TEMPERATURE: "F",
        Role.RUN_TIME: "h",
    }.get(role, "%")


def _is_filled(sampled: Sampled, place: int) -> bool:
    """A column without a header and without values, such as a separator at the end of each row makes."""
    if sampled.headers[place] != f"column {place + 1}":
        return True
    return any(not is_nothing(text) for text in sampled.texts(place)[:200])
