"""In which unit each dial of a boiler is marked: whoever reads it writes that unit."""

from evenfire.delivery.intake.limits import at, unit_of
from evenfire.delivery.intake.toml_text import Raw
from evenfire.plant.controls import Role


def dial_units(document: Raw, place: int) -> dict[str, str]:
    """The unit of each dial, by its key; of a scale that the plant file does not tell there is none."""
    found: dict[str, str | None] = {}
    for role in Role:
        control = ("boiler", place, "controls", role.value)
        main = unit_of(at((*control, "scale", "from"), document))
        scale = at((*control, "differential_scale"), document)
        differential = unit_of(at(("from",), scale)) or unit_of(at(("fixed",), scale)) or main
        found |= {role.value: main, f"{role.value}_differential": differential}
    return {dial: unit for dial, unit in found.items() if unit}
