"""Draw the pressure stack of one boiler, as text or as SVG."""

from pathlib import Path

from evenfire.delivery.acts.checking import boiler_named, cases_of, has_stale_proposal
from evenfire.delivery.figures.stack_layout import lay_out
from evenfire.delivery.figures.stack_levels import StackLayout
from evenfire.delivery.figures.stack_svg import stack_svg
from evenfire.delivery.figures.stack_text import stack_text
from evenfire.delivery.intake.plant_file import read_plant_file
from evenfire.delivery.units import UnitSystem
from evenfire.errors import BadRequest


def stack_in_words(plant: Path, boiler: str | None, system: UnitSystem, width: int) -> str:
    """The stack as text, ``width`` characters wide."""
    return stack_text(_layout(plant, boiler), system, width)


def stack_drawing(plant: Path, boiler: str | None, system: UnitSystem, width: int) -> str:
    """The stack as SVG, ``width`` pixels wide."""
    return stack_svg(_layout(plant, boiler), system, width)


def _layout(plant: Path, name: str | None) -> StackLayout:
    plant_file = read_plant_file(plant)
    boiler = boiler_named(plant_file, name)
    found, proposed = cases_of(plant_file, boiler)
    if found is None and proposed is None:
        raise BadRequest(
            f"{plant.name}: boiler {boiler.name!r} has no settings to draw. Fill in [boiler.as_found] first."
        )
    return lay_out(found, proposed, is_stale=has_stale_proposal(plant_file, boiler))
