"""Rows of a due list written by hand, for the files that are made of it."""

from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Final

from evenfire.delivery.records.registers import KeptBoiler, KeptSite
from evenfire.delivery.report.due_answer import Ask, Done, DueList, DueRow, Told, Urgency
from evenfire.judgement.trip_test.due import Interval
from evenfire.judgement.trip_test.intervals import Item

TODAY: Final = date(2027, 11, 25)
CHANGED: Final = datetime(2027, 11, 20, 8, 15, 30, 250_000, tzinfo=UTC)
YEAR: Final = Interval(months=12)
BOILER: Final = KeptBoiler(
    id="b-1",
    site=KeptSite(id="s-1", name="Gull Quay Laundry", address=""),
    name="No. 1",
    serial=None,
    registration=None,
)
TO_COME: Final = DueRow(
    urgency=Urgency.COMES_DUE,
    on=date(2028, 2, 29),
    due=date(2028, 2, 29),
    boiler=BOILER,
    item="high limit",
    part="HL-4711",
    calendar=Item.HIGH_LIMIT,
    last=Done(on=date(2027, 8, 31), told=Told.SIGNED_VISIT, result="passed", record="1a2b3c4d" * 8),
    failed=None,
    is_moved=False,
    asks=(
        Ask(whose="insurer", every=Interval(months=6)),
        Ask(whose="code", every=YEAR, source="CSD-1", is_from_memory=True),
    ),
    key="b-1/high limit",
)
OVERDUE: Final = replace(
    TO_COME, urgency=Urgency.OVERDUE, on=TODAY, due=date(2027, 11, 20), item="combustion", part="", key="b-1/combustion"
)
NEVER: Final = replace(
    TO_COME, urgency=Urgency.NEVER_RECORDED, on=TODAY, due=None, last=None, item="controls", part="", key="b-1/controls"
)
FAILED: Final = replace(
    TO_COME,
    urgency=Urgency.FAILED,
    on=TODAY,
    item="operating limit",
    part="OL-1",
    failed=Done(on=date(2027, 11, 19), told=Told.SIGNED_VISIT, result="trips high", record="9" * 64),
    key="b-1/operating limit",
)
ROUND: Final = replace(
    TO_COME,
    on=date(2027, 11, 26),
    due=date(2027, 11, 26),
    item="flame failure",
    part="",
    asks=(Ask(whose="code", every=Interval(days=7), source="CSD-1", is_from_memory=True),),
    key="b-1/flame failure",
)
GAUGE: Final = replace(
    TO_COME,
    on=date(2027, 12, 31),
    due=date(2027, 12, 31),
    boiler=None,
    item="reference gauge recalibrated",
    part="G-17",
    calendar=None,
    key="gauge/g-1",
)
ALL: Final = (FAILED, OVERDUE, NEVER, ROUND, GAUGE, TO_COME)


def due_of(*rows: DueRow) -> DueList:
    """A list of these rows."""
    return DueList(
        today=TODAY,
        changed_at=CHANGED,
        store="a-store",
        boilers=1,
        until=None,
        rows=rows,
        later=0,
        not_listed=(),
        not_counted=(),
        unread=(),
        open_visits=(),
        out_of_service=(),
    )
