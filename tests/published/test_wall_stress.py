"""A thick shell that is warmed, and a wall with a gradient: design texts for pressure vessels and boiler drums."""

import math
from dataclasses import replace

import pytest

from evenfire.physics.metal import carbon_steel, linear_gradient_stress, shape_factor
from evenfire.si import PA_PER_PSI
from evenfire.sources import EN_12952_3, JAWAD_FARR
from tests.published.printed import Disagreement, Printed, Tag


def _shape(radius_ratio: float, printed: str) -> Printed:
    return Printed(
        source=EN_12952_3,
        place="thermal stress of drums, as in TRD 301",
        quantity="shape factor of a heated shell",
        at=f"u = {radius_ratio:g}",
        printed=printed,
        unit="",
        ours=lambda: shape_factor(radius_ratio),
        tag=Tag.MEMORY,
    )


def _gradient_stress() -> float:
    steel = replace(carbon_steel(373.15), elasticity=27e6 * PA_PER_PSI, expansion=9.5e-6 * 1.8, poisson=0.28)
    return linear_gradient_stress(300 / 1.8, steel) / PA_PER_PSI


PRINTED: tuple[Printed, ...] = (
    _shape(1 + 1e-9, "-0.333333"),  # the plane wall: a third
    _shape(1.05, "-0.341584"),
    _shape(1.2, "-0.365397"),
    _shape(1.5, "-0.409267"),
    Printed(
        source=JAWAD_FARR,
        place="problem 5.15",
        quantity="stress of a linear gradient through a wall",
        at="300 F, 27e6 psi, 9.5e-6 /F, 0.28",
        printed="53400",
        unit="psi",
        ours=_gradient_stress,
        absolute=50.0,  # printed to hundreds
    ),
)

DISAGREEING: tuple[Disagreement, ...] = (
    Disagreement(printed=_shape(1.1, "-0.349674"), why="cut off instead of rounded: the formula gives 0.3496748"),
)


@pytest.mark.parametrize("value", PRINTED, ids=str)
def test_the_metal_of_a_warming_boiler_agrees_with_design_texts(value: Printed) -> None:
    assert value.agrees, value.report


@pytest.mark.parametrize("value", DISAGREEING, ids=str)
def test_the_shape_factor_that_is_cut_off_still_differs(value: Disagreement) -> None:
    assert not value.printed.agrees, value.printed.report


def test_the_shape_factor_that_is_cut_off_is_ours_without_its_further_digits() -> None:
    assert math.trunc(shape_factor(1.1) * 1e6) == -349_674
