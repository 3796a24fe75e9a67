"""What is typed into a field of a visit, and what it means there."""

import pytest

from evenfire.delivery.visits.fields import kind_of, lines, number, typed
from evenfire.errors import BadEntry
from evenfire.si import Dimension

PSI = 6894.757293168  # 1 lbf/in2 in Pa: 0.45359237 x 9.80665 / 0.0254^2, by hand


@pytest.mark.parametrize(
    ("path", "text", "value", "unit"),
    [
        ("as_found.high_limit", "140 psi", 140 * PSI, "psi"),
        ("as_found.operating_limit_differential", "0.5 bar", 50_000.0, "bar"),
        ("trip.3.reading.2", " 139.5 psi ", 139.5 * PSI, "psi"),
        ("trip.1.burner_off.1", "1.4 s", 1.4, "s"),
        ("as_found.manual_cap", "60 %", 0.6, "%"),
        ("device.1.took", "3 s", 3.0, "s"),
    ],
)
def test_a_quantity_is_kept_as_typed_and_in_si(path: str, text: str, value: float, unit: str) -> None:
    means = typed(path, text)
    assert means.why_not is None
    assert means.unit == unit
    assert means.si is not None
    assert number(means.si) == pytest.approx(value, rel=1e-12)
    assert "e" not in means.si.lower()


@pytest.mark.parametrize(
    ("path", "text"),
    [
        ("as_found.high_limit", "140"),
        ("as_found.high_limit", "one hundred"),
        ("as_found.high_limit", "140 gal"),
        ("as_found.operating_limit_differential", "-8 psi"),
        ("trip.1.burner_off.1", "-1 s"),
        ("as_found.manual_cap", "130 %"),
        ("as_found.unexplained_resets", "-1"),
        ("as_found.unexplained_resets", "two"),
        ("as_found.unexplained_resets", "10000000"),
        ("as_found.switch", "auto"),
        ("trip.1.control", "low_fire_hold"),
        ("trip.1.opened", "maybe"),
        ("temporary.1.opened_at", "10:42"),
        ("temporary.1.opened_at", "2026-13-25 10:42"),
        ("proposed.proved", "high limit"),
        ("photo.1.hash", "abc"),
        ("as_left.service", "running"),
    ],
)
def test_what_cannot_be_read_says_why_and_has_no_value(path: str, text: str) -> None:
    means = typed(path, text)
    assert means.why_not
    assert means.si is None


def test_an_empty_text_takes_back_and_is_no_mistake() -> None:
    assert typed("as_found.high_limit", "  ").why_not is None


@pytest.mark.parametrize(
    "path",
    [
        "as_found.high_limits",
        "trip.high_limit",
        "trip.0.gauge",
        "trip.100.gauge",
        "trip.1.reading",
        "trip.1.reading.0",
        "call",
        "x.y",
    ],
)
def test_a_field_that_a_visit_does_not_have_is_refused(path: str) -> None:
    with pytest.raises(BadEntry, match="path"):
        kind_of(path)


def test_a_stray_field_is_told_the_nearest_one() -> None:
    with pytest.raises(BadEntry, match=r"as_found\.high_limit"):
        kind_of("as_found.high_limits")


def test_every_dial_is_a_gauge_pressure_and_every_differential_a_difference() -> None:
    for table in ("as_found", "proposed", "as_left"):
        for dial in ("operating_limit", "high_limit", "firing_rate", "low_fire_hold"):
            assert kind_of(f"{table}.{dial}") is Dimension.GAUGE_PRESSURE
        for dial in ("operating_limit_differential", "firing_rate_differential"):
            assert kind_of(f"{table}.{dial}") is Dimension.PRESSURE_DIFFERENCE


def test_none_seen_is_not_the_same_as_nobody_looked() -> None:
    assert lines("none") == ()
    assert lines("wire across the high limit\nplug in the drain\n") == (
        "wire across the high limit",
        "plug in the drain",
    )
