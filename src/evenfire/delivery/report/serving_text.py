"""What the terminal says when the web app was started."""

from dataclasses import dataclass

from evenfire.delivery.report.page import Page, joined
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.words import serving


@dataclass(frozen=True, slots=True, kw_only=True)
class Serving:
    """A web app that was started."""

    store: str
    warnings: tuple[str, ...]
    address: str
    """What to open; with the start link in it where that lets somebody in"""
    is_start_link: bool
    can_log_in: bool
    """Whether anybody has a login"""
    fingerprint: str | None
    behind: str | None
    log: str


def serving_text(told: Serving, width: int) -> str:
    """How to open it, and what is to be known."""
    page = Page(width, UnitSystem.US)
    if told.is_start_link:
        who = page.paragraph(serving.NO_PERSON)
    elif told.can_log_in:
        who = page.paragraph(serving.LOGIN)
    else:
        who = page.labelled("CAUTION", serving.NOBODY_LOGS_IN)
    return joined(
        [
            page.title(f"Store {told.store}"),
            *(page.labelled("CAUTION", warning) for warning in told.warnings),
            # Never wrapped: a terminal opens it whole, or somebody copies it whole.
            f"Open {told.address}",
            who,
            "" if told.fingerprint is None else f"{page.paragraph(serving.COMPARE)}\n{_in_two(told.fingerprint)}",
            "" if told.behind is None else page.paragraph(serving.BEHIND.format(address=told.behind)),
            page.paragraph(f"{serving.TROUBLE.format(path=told.log)} {serving.STOP}"),
        ]
    )


def _in_two(fingerprint: str) -> str:
    """Two lines of sixteen bytes, which a telephone shows as well."""
    half = len(fingerprint) // 2
    return f"  {fingerprint[:half]}\n  {fingerprint[half + 1 :]}"
