"""National Board, certified relieving capacities: W = 51.5 A P K."""

import pytest

from evenfire.physics.relief import certified_capacity
from evenfire.si import KG_S_PER_LB_H, M_PER_IN, PA_PER_PSI, AbsPa, GaugePa
from evenfire.sources import NATIONAL_BOARD
from tests.published.printed import Printed


def _capacity(psig: int, printed: str) -> Printed:
    return Printed(
        source=NATIONAL_BOARD,
        place="section I steam",
        quantity="capacity of a square inch with K = 1",
        at=f"set {psig} psig",
        printed=printed,
        unit="lb/h",
        ours=lambda: (
            certified_capacity(
                M_PER_IN**2, GaugePa(psig * PA_PER_PSI), coefficient=1.0, ambient=AbsPa(14.7 * PA_PER_PSI)
            )
            / KG_S_PER_LB_H
        ),
    )


PRINTED: tuple[Printed, ...] = (
    _capacity(15, "1632.6"),
    _capacity(60, "3950.1"),
    _capacity(100, "6061.6"),
    _capacity(150, "8713.8"),
    _capacity(200, "11366.1"),
    _capacity(250, "14018.3"),
)


@pytest.mark.parametrize("value", PRINTED, ids=str)
def test_certified_capacity_agrees_with_the_national_board_formula(value: Printed) -> None:
    assert value.agrees, value.report
