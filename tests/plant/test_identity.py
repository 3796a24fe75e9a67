"""The identity of a value: equal content, equal identity; a field that nobody filled in plays no part."""

from dataclasses import dataclass, replace

from evenfire.plant.boiler import Boiler, Kind
from evenfire.plant.controls import Control
from evenfire.plant.identity import identity
from evenfire.plant.known import Datum
from evenfire.si import GaugePa

BOILER = Boiler(name="A", kind=Kind.FIRETUBE, mawp=GaugePa(1e6))


def test_values_that_differ_in_one_field_have_two_identities() -> None:
    values = [
        BOILER,
        replace(BOILER, level_band=Datum(0.03)),
        replace(BOILER, level_band=Datum(0.04)),
        replace(BOILER, low_water_cutoff=Datum(0.03)),
        replace(BOILER, breaks_vacuum=Datum(0.0)),
    ]
    assert len({identity(value) for value in values}) == len(values)
    assert identity(replace(BOILER)) == identity(BOILER)


def test_an_empty_control_is_not_a_missing_one() -> None:
    with_one = replace(BOILER, controls=replace(BOILER.controls, high_limit=Control()))
    assert identity(with_one) != identity(BOILER)


def test_a_field_that_a_later_version_adds_changes_nothing_until_it_is_filled_in() -> None:
    def first() -> object:
        @dataclass(frozen=True)
        class Survey:
            name: str

        return Survey(name="a")

    def later(added: float | None) -> object:
        @dataclass(frozen=True)
        class Survey:
            name: str
            added: float | None = None

        return Survey(name="a", added=added)

    assert identity(later(None)) == identity(first())
    assert identity(later(0.0)) != identity(first())
