"""The history of a boiler's limits as text: each control with its tests, its drift, and when it is tested again."""

from collections.abc import Iterator

from evenfire.delivery import units
from evenfire.delivery.report import history_phrases as phrases
from evenfire.delivery.report.boiler_text import cautions
from evenfire.delivery.report.history_answer import (
    AmendmentOfTest,
    ControlHistory,
    ControlStands,
    History,
    HistoryPoint,
)
from evenfire.delivery.report.page import Page, joined
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.words import due as due_words
from evenfire.delivery.words import history as words
from evenfire.judgement.trip_test.drift import Drift, Follows
from evenfire.judgement.trip_test.trip import Method
from evenfire.plant.known import Missing
from evenfire.si import Dimension, Quantity

SHORT = phrases.SHORT


def history_text(history: History, system: UnitSystem, width: int) -> str:
    """The whole history."""
    page = Page(width, system)
    boiler = history.boiler
    title = f"{boiler.site.name}/{boiler.name}: where its limits acted"
    visits = due_words.counted(history.visits, "signed visit")
    told = "" if history.not_verified else ", all of them unchanged"
    lead = f"As of {history.today}, from {visits}{told}."
    return joined(
        [
            page.title(title),
            _not_verified(history, page),
            page.paragraph(f"{lead} Worst first." if len(history.controls) > 1 else lead),
            *(page.labelled("UNREAD", words.UNREAD.format(record=each[:SHORT])) for each in history.unread),
            _without_survey(history, page),
            *(_control(each, history, page) for each in history.controls),
            page.paragraph(f"Next: {_next(history)}"),
            cautions(page),
        ]
    )


def _not_verified(history: History, page: Page) -> str:
    if not history.not_verified:
        return ""
    return page.labelled("DOES NOT VERIFY ", words.NOT_VERIFIED.format(why=history.not_verified))


def _without_survey(history: History, page: Page) -> str:
    if not history.without_survey:
        return ""
    return page.labelled(
        "NOT KNOWN ",
        f"{history.without_survey}, so which controls are fitted is taken from the last test. Take its plant file: "
        "evenfire store take PLANT.",
    )


def _control(control: ControlHistory, history: History, page: Page) -> str:
    head = f"{phrases.name(control)}: {_stands(control, history)}"
    action = phrases.to_do(control)
    lines = [page.heading(head), page.labelled("do", action)] if action else [page.heading(head)]
    if control.before and control.stands is not ControlStands.GONE:
        lines.append(
            page.labelled("before", f"The control {control.before} did this work; its tests say nothing of it.")
        )
    lines += [page.labelled(*each) for each in _drift(control, page)]
    lines += list(_points(control, page, is_verified=not history.not_verified))
    return "\n".join(lines)


def _stands(control: ControlHistory, history: History) -> str:
    stands = control.stands
    told = stands.value
    if stands is ControlStands.OUTSIDE and control.outside_since is not None:
        told = f"{told} since {control.outside_since}" if control.outside_since < history.today else told
    calm = {ControlStands.INSIDE, ControlStands.GONE, ControlStands.NOT_JUDGED}
    return told if stands in calm else told.upper()


def _drift(control: ControlHistory, page: Page) -> Iterator[tuple[str, str]]:
    drift = control.drift
    if isinstance(drift, Missing):
        if control.stands not in {ControlStands.NOT_JUDGED, ControlStands.NEVER_TESTED, ControlStands.GONE}:
            yield "drift", f"Not judged. Wanted: {phrases.lacking(control)}."
        if control.is_due_at_once:
            yield "again", f"At once: {_asked(control)}."
        elif control.due_as_asked is not None:
            yield "again", f"By {control.due_as_asked}: {_asked(control)}."
        elif control.stands is ControlStands.NEVER_TESTED and control.asked is not None:
            yield "again", f"At once: {_asked(control)}."
        return
    measured = control.measured
    stretches = len({each.stretch for each in measured})
    over = f" in {stretches} stretches of one dial position each" if stretches > 1 else ""
    shown = "" if drift.is_shown else " No drift is shown."
    between = f"{_signed(drift.a_year_lowest, page)} and {_signed(drift.a_year_highest, page)}"
    from_ = f"{len(measured)} tests{over}"
    yield "drift", f"{_signed(drift.a_year, page)} a year, 95 % between {between}, from {from_}.{shown}"
    band = control.band
    width = "" if band is None else f"; its band is {_difference(band, page)} either way"
    yield "off by", f"{_signed(drift.last_error, page)} at the last test, by the line through all of them{width}."
    yield "leaves", _leaves(drift)
    if control.is_due_at_once or control.next_due is None:
        yield "again", f"At once: {_asked(control)}."
        return
    days = (control.next_due - measured[-1].on).days
    after = f"By {control.next_due}, {due_words.counted(days, 'day')} after the last test"
    if drift.follows is Follows.DRIFT:
        yield "again", f"{after}: {words.FOLLOWS[drift.follows]} {_asked(control)}, would be {control.due_as_asked}."
    else:
        yield "again", f"{after}: {_asked(control)}. {words.FOLLOWS[drift.follows]}"


def _leaves(drift: Drift) -> str:
    above = "not within a hundred years" if drift.leaves_above is None else f"{drift.leaves_above} at the earliest"
    below = "not within a hundred years" if drift.leaves_below is None else f"{drift.leaves_below} at the earliest"
    return f"Its band upwards {above}; downwards {below} (95 %)."


def _asked(control: ControlHistory) -> str:
    ask = control.asked
    if ask is None:
        return "nobody is known to ask for it"
    by = due_words.whose(ask.whose, ask.source, is_from_memory=ask.is_from_memory)
    return f"{by}, {due_words.every(ask.every)}"


def _points(control: ControlHistory, page: Page, *, is_verified: bool) -> Iterator[str]:
    told: set[str] = set()
    for point in control.points:
        if point.began in words.BEGAN:
            yield page.labelled("", words.BEGAN[point.began])
        yield page.labelled(f"{point.on} ", _point(point, page, is_verified=is_verified))
        for amendment in point.amendments:
            if amendment.record not in told:
                told.add(amendment.record)
                yield page.labelled("AMENDED", _amendment(amendment, point))


def _point(point: HistoryPoint, page: Page, *, is_verified: bool) -> str:
    parts = []
    if point.trip is not None:
        parts.append(f"acted at {_pressure(point.trip, page)}")
        if point.expanded_uncertainty is not None:
            parts[-1] += f" ±{_difference(point.expanded_uncertainty, page)}"
    if point.set_pressure is not None:
        off = "" if point.set_error is None else f" ({_signed(point.set_error, page)})"
        parts.append(f"shall at {_pressure(point.set_pressure, page)}{off}")
    parts.append("dial not read" if point.dial is None else f"dial {_pressure(point.dial, page)}")
    verdict = "a verdict of a later evenfire" if point.verdict is None else point.verdict.value
    why = _why_not(point) if is_verified else ""
    told = verdict.upper() if _is_bad(point) else verdict
    return f"{', '.join(parts)}: {told}. {point.signer}, record {point.record[:SHORT]}.{why}"


def _why_not(point: HistoryPoint) -> str:
    """Why a test counts for nothing, or for less; empty where it counts."""
    if not point.is_known:
        return f" {words.UNKNOWN_SIGNER[0].upper()}{words.UNKNOWN_SIGNER[1:]}."
    if not point.is_measured:
        is_rise = point.method == Method.TRUE_RISE.value
        reason = words.NO_TRIP_POINT if is_rise else point.method or words.NO_METHOD
        return f" {reason[0].upper()}{reason[1:]}: {words.NOT_COUNTED}."
    return f" {words.OTHER_AIM}" if point.is_other_aim else ""


def _is_bad(point: HistoryPoint) -> bool:
    return point.verdict is not None and point.verdict.is_unsafe


def _amendment(amendment: AmendmentOfTest, point: HistoryPoint) -> str:
    return (
        f"Record {point.record[:SHORT]}, by {amendment.signer} on {amendment.signed_at:%Y-%m-%d} (record "
        f"{amendment.record[:SHORT]}): {amendment.text} Weigh it yourself: the test stands here as it was signed."
    )


def _next(history: History) -> str:
    name = f"{history.boiler.site.name}/{history.boiler.name}"
    pressing = [each for each in history.controls if each.stands not in {ControlStands.INSIDE, ControlStands.GONE}]
    return f"evenfire visit new --boiler {name!r}" if pressing else f"evenfire due --boiler {name!r}"


def _pressure(value: float, page: Page) -> str:
    return page.show(Quantity(value, Dimension.GAUGE_PRESSURE))


def _difference(value: float, page: Page) -> str:
    return page.show(Quantity(value, Dimension.PRESSURE_DIFFERENCE))


def _signed(value: float, page: Page) -> str:
    return units.show_signed(Quantity(value, Dimension.PRESSURE_DIFFERENCE), page.system)
