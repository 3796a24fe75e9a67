"""``evenfire demo``: the main job on the laundry, one command after the other, as a person would type them."""

from pathlib import Path

from evenfire.delivery.acts.checking import check
from evenfire.delivery.acts.demo import LAUNDRY, write_demo_plants
from evenfire.delivery.acts.drawing import stack_in_words
from evenfire.delivery.acts.settling import settle
from evenfire.delivery.report.check_text import check_text
from evenfire.delivery.report.settle_text import settle_text
from evenfire.delivery.units import UnitSystem

_AND_NOW = (
    "Now yours: evenfire new my-plant.toml, fill it in, evenfire check my-plant.toml. "
    "As a drawing: evenfire stack {laundry} -o stack.svg"
)


def demo_text(folder: Path, system: UnitSystem, width: int) -> str:
    """Write the demo plants and show what check, settle and stack say of the laundry."""
    paths = write_demo_plants(folder)
    laundry = folder / LAUNDRY
    plants = "\n".join(f"  {path}" for path in paths)
    return "\n\n".join(
        [
            f"Wrote these invented plants:\n{plants}",
            f"$ evenfire check {laundry}",
            check_text(check(laundry), system, width),
            f"$ evenfire settle {laundry}",
            settle_text(settle(laundry), system, width),
            f"$ evenfire stack {laundry}",
            stack_in_words(laundry, None, system, width),
            _AND_NOW.format(laundry=laundry),
        ]
    )
