"""A whole plant: a site, what it wants, and its boilers."""

from dataclasses import dataclass

from evenfire.plant.boiler import Boiler
from evenfire.plant.load import Load
from evenfire.plant.site import Site


@dataclass(frozen=True, slots=True, kw_only=True)
class Plant:
    """What was surveyed."""

    site: Site
    load: Load
    boilers: tuple[Boiler, ...]
