"""US DOE steam tip sheet 12: share of condensate that flashes to steam."""

import pytest

from evenfire.physics.vessel import flash_fraction
from evenfire.si import PA_PER_PSI, AbsPa
from evenfire.sources import DOE_TIP_12
from tests.published.printed import Printed

_LOW_PSIG = (50, 30, 15, 5)
_ROWS = {
    200: ("10.4", "12.8", "15.2", "17.3"),
    150: ("7.8", "10.3", "12.7", "14.9"),
    100: ("4.6", "7.1", "9.6", "11.8"),
    75: ("2.5", "5.1", "7.6", "9.9"),
}


def _absolute(psig: float) -> AbsPa:
    return AbsPa((psig + 14.7) * PA_PER_PSI)


def _flash(high: int, low: int, printed: str) -> Printed:
    return Printed(
        source=DOE_TIP_12,
        place="table",
        quantity="condensate flashed",
        at=f"{high} to {low} psig",
        printed=printed,
        unit="%",
        ours=lambda: 100 * flash_fraction(_absolute(high), _absolute(low)),
    )


PRINTED: tuple[Printed, ...] = tuple(
    _flash(high, low, printed)
    for high, columns in _ROWS.items()
    for low, printed in zip(_LOW_PSIG, columns, strict=True)
)


@pytest.mark.parametrize("value", PRINTED, ids=str)
def test_flash_steam_agrees_with_the_tip_sheet(value: Printed) -> None:
    assert value.agrees, value.report
