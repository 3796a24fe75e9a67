"""Parts that several papers share: the head, the dials in all sets of settings, the code for a telephone, the foot."""

from datetime import date
from io import BytesIO
from typing import Final

import segno

from evenfire.delivery.answers import BoilerCheck, Identity
from evenfire.delivery.intake.plant_file import PlantFile
from evenfire.delivery.papers.admission import Admission, Countersigner
from evenfire.delivery.papers.content import DialLine, Drawing, Head, SignedPart, Signing
from evenfire.delivery.report.boiler_text import made_from, nameplate
from evenfire.delivery.report.page import Page
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.words import papers as words
from evenfire.delivery.words.moves import name_of_dial
from evenfire.judgement.moves.result import Dial
from evenfire.plant.boiler import Boiler
from evenfire.plant.controls import Role
from evenfire.plant.settings import Settings
from evenfire.si import Dimension, Quantity

FROM_THE_TOP: Final = (Role.HIGH_LIMIT, Role.OPERATING_LIMIT, Role.FIRING_RATE, Role.LOW_FIRE_HOLD)
WIDE: Final = 100_000
"""Lines are broken by the printer, not by us [characters]."""


def page_of(system: UnitSystem) -> Page:
    """Words in these units, on a page that breaks no lines."""
    return Page(WIDE, system)


def head_of(title: str, check: BoilerCheck, found: Admission, identity: Identity, page: Page) -> Head:
    """The head of a paper on one set of settings."""
    boiler = check.case.boiler
    plate = nameplate(boiler, page)
    return Head(
        title=title,
        site=check.case.site.name,
        boiler=boiler.name,
        plate=f"{plate[0].upper()}{plate[1:]}.",
        state=found.state,
        notices=found.notices,
        day=check.case.settings.read_on or _last_day(boiler),
        made_from=made_from(identity),
    )


def dial_lines(boiler: Boiler, page: Page, *, with_proposed: bool) -> tuple[DialLine, ...]:
    """Every dial that any set of settings reads, as found beside proposed beside as left; what differs is flagged.

    The dial of a control that is to be proved is only a start: where it came to stand is no fault.
    """
    found = Settings() if boiler.as_found is None else boiler.as_found.settings
    proposed = boiler.proposed.settings if with_proposed and boiler.proposed is not None else None
    proved = frozenset() if proposed is None else proposed.proved
    lines = []
    for role in FROM_THE_TOP:
        for turn in ("main", "differential"):
            cells = [_cell(each, role, turn, page) for each in (found, proposed, boiler.as_left)]
            if not any(cells):
                continue
            differs = bool(cells[1] and cells[2]) and cells[1] != cells[2] and role not in proved
            name = name_of_dial(Dial(role, turn))
            lines.append(
                DialLine(
                    dial=f"{name[0].upper()}{name[1:]}",
                    as_found=cells[0] or words.NOT_READ,
                    proposed=cells[1],
                    as_left=cells[2],
                    flag=words.LEFT_ELSEWHERE if differs else "",
                )
            )
    return tuple(lines)


def code_of(text: str) -> Drawing:
    """A QR code that holds the text."""
    content = BytesIO()
    segno.make(text, micro=False, error="m", boost_error=False).save(
        content, kind="svg", xmldecl=False, border=4, light="white", nl=False
    )
    return Drawing(svg=content.getvalue().decode("utf-8"), says=words.CODE_SAYS.format(text=text))


def signing_of(paper: str, plant_file: PlantFile, which: str, countersigner: Countersigner | None) -> Signing:
    """The foot of a paper that was made from a plant file and is signed by nobody."""
    code = words.CODE_OF_SURVEY.format(paper=paper, which=which, survey=plant_file.revision)
    answers = "" if countersigner is None else f"{countersigner.name}, {countersigner.licence}"
    return Signing(signed=None, unsigned=words.NOT_SIGNED, countersigned=answers, code=code_of(code))


def signed_by(signed: SignedPart, countersigned: str = "") -> Signing:
    """The foot of a paper whose record is signed."""
    code = words.CODE_OF_RECORD.format(record=signed.record, fingerprint=signed.fingerprint.replace(" ", ""))
    return Signing(signed=signed, unsigned="", countersigned=countersigned, code=code_of(code))


def _last_day(boiler: Boiler) -> date | None:
    """When somebody read a dial of it last."""
    sets = (boiler.as_left, None if boiler.as_found is None else boiler.as_found.settings)
    return next((each.read_on for each in sets if each is not None and each.read_on is not None), None)


def _cell(settings: Settings | None, role: Role, turn: str, page: Page) -> str:
    reading = None if settings is None else settings.of(role)
    if reading is None:
        return ""
    if turn == "main":
        return page.show(Quantity(reading.main, Dimension.GAUGE_PRESSURE))
    if reading.differential is None:
        return ""
    return page.show(Quantity(reading.differential, Dimension.PRESSURE_DIFFERENCE))
