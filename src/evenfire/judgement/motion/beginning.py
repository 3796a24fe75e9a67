"""Where a run of a surveyed boiler begins."""

from evenfire.judgement.case import Case
from evenfire.judgement.motion.modelling import normal_volume
from evenfire.physics.evaporation import heat_for_steam
from evenfire.physics.firing import steady_pressure
from evenfire.physics.motion import starting
from evenfire.physics.motion.model import RATE_PROPORTIONAL, Model, Profile
from evenfire.physics.motion.state import State
from evenfire.plant.known import given, known
from evenfire.si import AbsPa, GaugePa

ROOM_COLD = 293.15
"""Water and metal of a boiler that stood for days [K]."""


def at_work(case: Case, model: Model, draw: Profile) -> State:
    """The boiler as it stands when the load of the first moment has been drawn for long.

    Above low-fire load a proportional control stands on its firing line; below, and with any other control, the run
    begins at cut-in with the burner about to start.
    """
    volume, burner = normal_volume(case), model.burner
    cut_in = AbsPa(float(model.controls.cut_in))
    if burner.rate_action == RATE_PROPORTIONAL:
        share = _share_drawn(case, model, draw)
        if share > burner.lowest:
            high, low = float(model.controls.high_fire), float(model.controls.low_fire)
            pressure = steady_pressure(min(share, 1.0), high, low, float(burner.lowest))
            position = (min(share, 1.0) - burner.lowest) / (1.0 - burner.lowest)
            return starting.on_line(model, AbsPa(pressure), volume, min(float(position), float(burner.cap)))
    return starting.at_pressure(model, cut_in, volume)


def at(case: Case, model: Model, pressure: GaugePa) -> State:
    """The boiler hot at a pressure with its burner off [Pa gauge]."""
    return starting.at_pressure(model, AbsPa(pressure + case.site.ambient.value), normal_volume(case))


def from_cold(case: Case, model: Model, temperature: float = ROOM_COLD) -> State:
    """The boiler cold and vented [K]."""
    return starting.cold(model, temperature, normal_volume(case))


def _share_drawn(case: Case, model: Model, draw: Profile) -> float:
    """Heat drawn at the first moment as a share of full fire [1]."""
    pressure = AbsPa(float(model.users.reference))
    feed = known(given(case.boiler.feedwater_temperature, "feedwater_temperature"))[0]
    loss = known(given(case.boiler.standing_loss, "standing_loss"))[0]
    steam = float(draw.pieces[0, 1])
    heat = heat_for_steam(steam, pressure, feed.value) + loss.value if steam > 0 else loss.value
    return heat / float(model.burner.full_heat)
