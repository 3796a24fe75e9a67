"""What no record can hold never becomes an entry."""

from dataclasses import replace
from datetime import datetime, timedelta, timezone

import pytest

from evenfire.errors import BadEntry
from tests.delivery.visits.typing_in import entry, name

GOOD = entry(1, "as_found.high_limit", "140 psi")


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("id", "3F2A0000-0000-4000-8000-000000000001"),
        ("id", "../../etc/passwd"),
        ("draft", "visit 1"),
        ("path", "As_found.high_limit"),
        ("path", "as_found..high_limit"),
        ("path", "a." * 60 + "a"),
        ("text", "x" * 4001),
        ("text", "140\x00psi"),
        ("text", "140\x1b[2J"),
        ("text", "\ud800"),
        ("based_on", (name(1),)),
        ("based_on", ("no id",)),
        ("based_on", tuple(name(each) for each in range(2, 60))),
        ("why_not", "it is no pressure"),
    ],
)
def test_an_entry_that_no_record_can_hold_is_refused(field: str, value: object) -> None:
    with pytest.raises(BadEntry):
        replace(GOOD, **{field: value})  # type: ignore[arg-type]


def test_the_time_of_an_entry_is_utc_and_nothing_else() -> None:
    elsewhere = timezone(timedelta(hours=-5))
    for moment in (datetime(2026, 11, 25, 12, 0), datetime(2026, 11, 25, 12, 0, tzinfo=elsewhere)):  # noqa: DTZ001
        with pytest.raises(BadEntry, match="UTC"):
            replace(GOOD, at=moment)


def test_a_text_may_have_several_lines() -> None:
    assert replace(GOOD, text="wire across the limit\nseal gone", si=None, unit=None).text.count("\n") == 1
