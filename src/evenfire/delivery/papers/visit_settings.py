"""Dials, moves and proofs of a visit as lines of its report, out of the body that is signed."""

import re
from collections.abc import Iterator
from typing import Final

from evenfire.delivery.papers.content import DialLine, DoneLine, ProofPart
from evenfire.delivery.papers.visit_body import Body, number_of, table_of, texts_of
from evenfire.delivery.papers.visit_entries import fold_of
from evenfire.delivery.records.searchable import rows_of, text_of
from evenfire.delivery.report.page import Page
from evenfire.delivery.units import Rounding
from evenfire.delivery.visits.fields import DIALS
from evenfire.delivery.visits.standing import Flag
from evenfire.delivery.words import name_of_key
from evenfire.delivery.words import papers as paper_words
from evenfire.delivery.words import visit_papers as words
from evenfire.delivery.words.clock import lasting
from evenfire.delivery.words.names import DIALS as NAMES_OF_DIALS
from evenfire.delivery.words.proof_saying import MOST_MARGINS, YES_OR_NO
from evenfire.delivery.words.proofs import SCENARIOS, VERDICTS
from evenfire.judgement.proofs.result import Scenario, Verdict, Watched
from evenfire.plant.controls import Role
from evenfire.si import Dimension, Quantity

SETS = ("as_found", "proposed", "as_left")
DIFFERS = Flag.DIFFERS_FROM_PROPOSED.value
NOT_PROVED, SAYS_NOTHING = "not proved", "says nothing of this boiler"
OF_A_MARGIN = {Dimension.PRESSURE_DIFFERENCE: Dimension.GAUGE_PRESSURE}
"""What the two ends of a margin are; a margin of anything else is of the same kind as its ends."""


_LEFT_ELSEWHERE: Final = re.compile(r"as_left\.([a-z_]+)")
"""A dial, as the sentence of a flag names it."""


def dials_of(body: Body, page: Page) -> Iterator[DialLine]:
    """Every dial that any of the three sets reads; marked where the visit says that it was left elsewhere."""
    settings, elsewhere = table_of(body, "settings"), _left_elsewhere(body)
    for dial in DIALS:
        cells = [table_of(table_of(settings, name), dial) for name in SETS]
        if not any(cells):
            continue
        found, proposed, left = (_typed(cell, dial, page) for cell in cells)
        yield DialLine(
            dial=_name(dial),
            as_found=found or paper_words.NOT_READ,
            proposed=proposed,
            as_left=left,
            flag=paper_words.LEFT_ELSEWHERE if dial in elsewhere else "",
        )


def _left_elsewhere(body: Body) -> frozenset[str]:
    said = (text_of(row, "said") for row in rows_of(body, "flags") if text_of(row, "flag") == DIFFERS)
    return frozenset(dial for each in said for dial in _LEFT_ELSEWHERE.findall(each))


def moves_of(body: Body) -> Iterator[DoneLine]:
    """Every move of the proposal, by the number that it has on the sheet at the boiler, and who made it when."""
    rows, fold = rows_of(body, "moves"), fold_of(body)
    numbers = () if fold is None else fold.rows("move")
    for number, row in zip(numbers if len(numbers) == len(rows) else range(1, len(rows) + 1), rows, strict=True):
        done = text_of(row, "done_at")
        by = words.WHO_AND_WHEN.format(who=text_of(row, "done_by") or words.WHO_NOT_TOLD, when=done)
        told = text_of(row, "words")
        if done:
            # What is to be watched while a dial is turned is of no use once it stands.
            told = f"{told.split('. ')[0].rstrip('.')}."
        yield DoneLine(number=str(number), what=told, done=bool(done), by=by if done else "")


def proofs_of(body: Body, page: Page) -> Iterator[ProofPart]:
    """Every scenario that was run on the settings as left, with the numbers that decided it."""
    for row in rows_of(body, "proved_as_left"):
        verdict = text_of(row, "verdict")
        if verdict in {NOT_PROVED, SAYS_NOTHING}:
            continue
        try:
            words_of, named = SCENARIOS[Scenario(text_of(row, "scenario"))], VERDICTS[Verdict(verdict)]
            checks = "; ".join(_checks(row, page))
            said = f"{words_of.staged} {checks}." if checks else f"{words_of.staged.rstrip('.,')}. {words.TELLS}"
            yield ProofPart(verdict=named, title=words_of.title, said=said)
        except (ValueError, KeyError):
            told = words.UNREADABLE.format(what="The numbers of this scenario")
            yield ProofPart(verdict=verdict, title=text_of(row, "scenario"), said=told)


def not_proved_of(body: Body) -> Iterator[str]:
    """Every scenario that could not be run, with what is missing."""
    for row in rows_of(body, "proved_as_left"):
        if text_of(row, "verdict") == NOT_PROVED:
            name = text_of(row, "scenario")
            known = {each.value: SCENARIOS[each].title for each in Scenario if each in SCENARIOS}
            missing = "; ".join(name_of_key(key) for key in texts_of(row, "missing"))
            yield paper_words.NOT_PROVED.format(title=known.get(name, name), missing=missing)


def _name(dial: str) -> str:
    role = Role(dial.removesuffix("_differential"))
    name = NAMES_OF_DIALS[role, "differential" if dial.endswith("_differential") else "main"]
    return f"{name[0].upper()}{name[1:]}"


def _si(cell: Body) -> float | None:
    value = number_of(cell, "si_pa_gauge")
    return number_of(cell, "si_pa") if value is None else value


def _typed(cell: Body, dial: str, page: Page) -> str:
    """As typed where that is in the reader's unit, else in that unit."""
    value = _si(cell)
    if value is None:
        return ""
    is_difference = dial.endswith("_differential")
    shown = page.show(Quantity(value, Dimension.PRESSURE_DIFFERENCE if is_difference else Dimension.GAUGE_PRESSURE))
    number, _, unit = text_of(cell, "text").strip().rpartition(" ")
    nearest, _, own = shown.rpartition(" ")
    # A proposal carries more digits than any dial can be turned to.
    is_short = 0 < len(number) <= len(nearest) + 1
    return f"{number} {unit}" if is_short and unit == own else shown


def _checks(row: Body, page: Page) -> Iterator[str]:
    """All that failed, else the narrowest margins, else what plainly holds; each thing looked at once."""
    worst: dict[str, Body] = {}
    for check in rows_of(row, "checks"):
        worst.setdefault(text_of(check, "watched"), check)
    failed: list[Body] = [each for each in worst.values() if each.get("holds") is not True]
    ranked: list[Body] = sorted(worst.values(), key=lambda each: Watched(text_of(each, "watched")) in YES_OR_NO)
    for each in failed or ranked[:MOST_MARGINS]:
        yield _check(each, page)


def _check(check: Body, page: Page) -> str:
    watched, holds = Watched(text_of(check, "watched")), check.get("holds") is True
    observed, limit, margin = (number_of(check, key) for key in ("observed", "limit", "margin"))
    if watched in YES_OR_NO or observed is None or limit is None or margin is None:
        return (words.PLAINLY if holds else words.PLAINLY_FAILS).format(watched=watched.value)
    dimension = Dimension(text_of(check, "dimension"))
    ends = OF_A_MARGIN.get(dimension, dimension)
    rises = limit >= observed if holds else limit < observed
    # Rounded towards danger, as in every other place: what is told is never better than what was seen.
    return (words.HOLDS if holds else words.FAILS).format(
        watched=watched.value,
        observed=_end(observed, ends, page, Rounding.UP if rises else Rounding.DOWN),
        limit=_end(limit, ends, page, Rounding.DOWN if rises else Rounding.UP),
        margin=_end(abs(margin), dimension, page, Rounding.DOWN if holds else Rounding.UP),
    )


def _end(value: float, dimension: Dimension, page: Page, rounding: Rounding) -> str:
    if dimension is Dimension.TIME:
        return lasting(value)
    return page.show(Quantity(value, dimension), rounding=rounding)
