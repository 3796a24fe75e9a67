"""The operator card of one boiler: every pressure at which something happens, and what to do then."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from evenfire.delivery.answers import BoilerCheck, Identity
from evenfire.delivery.figures.measured_text import shorten_to_width
from evenfire.delivery.intake.plant_file import PlantFile
from evenfire.delivery.papers.admission import Admission
from evenfire.delivery.papers.content import CardContent, CardLine, Drawing, Head, SignedPart
from evenfire.delivery.papers.of_visit import OfVisit
from evenfire.delivery.papers.shared_parts import code_of, head_of
from evenfire.delivery.report.page import Page
from evenfire.delivery.units import Rounding
from evenfire.delivery.words import papers as words
from evenfire.judgement.case import Case, has_band_on_dial
from evenfire.judgement.margins import follows_the_load
from evenfire.judgement.rules.practice import WARMED_AT_LOW_FIRE, kept_low_until
from evenfire.plant.controls import Action, Role
from evenfire.plant.known import Missing
from evenfire.si import Dimension, Quantity

BOILER_SIZE: Final = 18.0
TEXT_SIZE: Final = 16.0
"""Of type on the card [pt]."""
TWO_LINES: Final = 820.0
"""What of a name is shown is no longer [pt]."""
ONE_LINE: Final = 400.0
"""The same beside a signer who is not known here: what a page has to say of the key goes before the end of a name
[pt]."""
_ROLES: Final = {
    "trip": Role.HIGH_LIMIT,
    "cut_out": Role.OPERATING_LIMIT,
    "cut_in": Role.OPERATING_LIMIT,
    "low_fire": Role.FIRING_RATE,
    "high_fire": Role.FIRING_RATE,
    "hold": Role.LOW_FIRE_HOLD,
}


def card_content(
    plant_file: PlantFile,
    check: BoilerCheck,
    found: Admission,
    identity: Identity,
    page: Page,
    of_visit: OfVisit | None = None,
) -> CardContent:
    """The card in words; whether it may be written was asked before."""
    case = check.case
    head = head_of(words.CARD, check, found, identity, page)
    signed = None if of_visit is None else of_visit.signed
    if of_visit is not None:
        head = of_visit.head_of_card(head)
    head = _short(head, found, TWO_LINES if signed is None or not signed.mark else ONE_LINE)
    lines = sorted(_lines(case), key=lambda line: -line[0])
    return CardContent(
        head=head,
        lines=tuple(_line(pressure, name, case, page) for pressure, name in lines),
        not_read=_not_read(case),
        daily=words.CARD_DAILY if _comes_down_first(case) else words.CARD_DAILY_ON_OFF,
        acted=(*words.CARD_ACTED, *_resetting(case, page)),
        never=words.CARD_NEVER,
        call=words.CARD_CALL,
        cautions=tuple(_cautions(case, page)),
        foot=words.CARD_FOOT.format(made_from=head.made_from, signed=_signed(signed)),
        code=_code(plant_file, case) if of_visit is None else of_visit.signing(None).code,
    )


def _short(head: Head, found: Admission, longest: float) -> Head:
    """Names no longer than that [pt], on two lines at most, and of what could not be judged only the question."""
    return replace(
        head,
        boiler=shorten_to_width(head.boiler, longest, BOILER_SIZE),
        site=shorten_to_width(head.site, longest, TEXT_SIZE),
        notices=found.notices_in_short,
    )


def _code(plant_file: PlantFile, case: Case) -> Drawing:
    text = words.CODE_OF_SURVEY.format(paper="card", which=case.which.value, survey=plant_file.revision)
    return code_of(text)


def _signed(signed: SignedPart | None) -> str:
    if signed is None:
        return words.NOT_SIGNED_SHORT
    told = words.SIGNED_SHORT_MARKED if signed.mark else words.SIGNED_SHORT
    return told.format(signer=signed.signer, signed_at=signed.signed_at, mark=signed.mark)


def _resetting(case: Case, page: Page) -> tuple[str, ...]:
    """When the high limit may be reset, once: below the pressure at which the burner starts in normal work."""
    cut_in, trip = case.stack.cut_in, case.stack.trip
    if isinstance(cut_in, Missing) or (not isinstance(trip, Missing) and cut_in >= trip):
        return words.CARD_NO_RESET
    pressure = page.show(Quantity(cut_in, Dimension.GAUGE_PRESSURE), rounding=Rounding.DOWN)
    return tuple(each.format(pressure=pressure) for each in words.CARD_RESET)


def _cautions(case: Case, page: Page) -> Iterator[str]:
    """Those for operators; a boiler without a low-fire hold is not told of one."""
    for each in words.CARD_CAUTIONS:
        has_one = case.boiler.controls.low_fire_hold is not None
        yield each if each != words.ABOUT_THE_HOLD or has_one else _without_hold(case, page)


def _without_hold(case: Case, page: Page) -> str:
    """How to warm it up: as long at low fire as a hold would usually be set, or where none is usual, until steam."""
    if case.boiler.kind not in WARMED_AT_LOW_FIRE or not follows_the_load(case.boiler):
        return words.NO_HOLD
    until = kept_low_until(case)
    if until is None:
        return words.NO_HOLD_UNTIL_STEAM
    return words.NO_HOLD_BY_HAND.format(pressure=page.show(Quantity(until, Dimension.GAUGE_PRESSURE)))


def _points(case: Case) -> dict[str, float | Missing]:
    stack = case.stack
    return {
        "trip": stack.trip,
        "cut_out": stack.cut_out,
        "cut_in": stack.cut_in,
        "low_fire": stack.low_fire,
        "high_fire": stack.high_fire,
        "hold": stack.hold,
    }


def _lines(case: Case) -> Iterator[tuple[float, str]]:
    """Every known pressure [Pa gauge] with its key."""
    points = {"valves": case.facts.valve_set, **_points(case)}
    for name, value in points.items():
        if not isinstance(value, Missing):
            yield value, name


def _line(pressure: float, key: str, case: Case, page: Page) -> CardLine:
    number, unit = page.show(Quantity(pressure, Dimension.GAUGE_PRESSURE)).rsplit(" ", 1)
    control = case.boiler.controls.firing_rate
    stepped = control is not None and control.action is Action.TWO_POSITION
    name, does = {**words.CARD_LINES, **(words.CARD_TWO_POSITION if stepped else {})}[key]
    return CardLine(number=number, unit=unit, name=name, does=does)


def _not_read(case: Case) -> str:
    """Controls that are there and of which no pressure is known."""
    points = _points(case)
    names = dict.fromkeys(
        words.NAMES_OF_ROLES[_ROLES[key]].lower()
        for key, value in points.items()
        if isinstance(value, Missing) and _has_a_dial(case, _ROLES[key])
    )
    return words.CARD_NOT_READ.format(names=", ".join(names)) if names else ""


def _has_a_dial(case: Case, role: Role) -> bool:
    if case.boiler.controls.of(role) is None:
        return role is Role.HIGH_LIMIT
    return role is not Role.FIRING_RATE or has_band_on_dial(case.boiler)


def _comes_down_first(case: Case) -> bool:
    """Whether these settings let the burner come down to low fire before the operating limit stops it."""
    low_fire, cut_out = case.stack.low_fire, case.stack.cut_out
    if isinstance(low_fire, Missing) or isinstance(cut_out, Missing):
        return False
    return low_fire <= cut_out
