"""Where a run of a surveyed boiler begins."""

from evenfire.judgement.case import Case
from evenfire.judgement.motion.modelling import normal_volume, working_pressure
from evenfire.physics.firing import steady_pressure
from evenfire.physics.motion import starting
from evenfire.physics.motion.model import RATE_PROPORTIONAL, RATE_TWO_POSITION, Model, Profile
from evenfire.physics.motion.state import State
from evenfire.plant.known import given, known
from evenfire.si import AbsPa, GaugePa

ROOM_COLD = 293.15
"""Water and metal of a boiler that stood for days [K]."""


def at_work(case: Case, model: Model, draw: Profile) -> State:
    """The boiler as it stands when the load of the first moment has been drawn for long."""
    return standing_under(case, model, float(draw.pieces[0, 1]))


def standing_under(case: Case, model: Model, flow: float) -> State:
    """The boiler that has carried a steam flow for long [kg/s].

    Above low-fire load a proportional control stands on its firing line, and a burner in two steps has just gone down
    to the lower, unless the cut-out comes first. Below, and with a burner that only goes on and off, the boiler stands
    at cut-in with the burner about to start.
    """
    volume, burner, controls = normal_volume(case), model.burner, model.controls
    share = min(1.0, _share_drawn(case, model, flow))
    if share > burner.lowest and burner.rate_action == RATE_TWO_POSITION and controls.low_fire < controls.cut_out:
        return starting.on_line(model, AbsPa(float(controls.low_fire)), volume, 0.0)
    if burner.rate_action != RATE_PROPORTIONAL or share <= burner.lowest:
        return starting.at_pressure(model, AbsPa(float(controls.cut_in)), volume)
    pressure = steady_pressure(share, float(controls.high_fire), float(controls.low_fire), float(burner.lowest))
    position = (share - burner.lowest) / (1.0 - burner.lowest)
    return starting.on_line(model, AbsPa(pressure), volume, min(float(position), float(burner.cap)))


def at(case: Case, model: Model, pressure: GaugePa) -> State:
    """The boiler hot at a pressure with its burner off [Pa gauge]."""
    return starting.at_pressure(model, AbsPa(pressure + case.site.ambient.value), normal_volume(case))


def from_cold(case: Case, model: Model, temperature: float = ROOM_COLD) -> State:
    """The boiler cold and vented [K]."""
    return starting.cold(model, temperature, normal_volume(case))


def _share_drawn(case: Case, model: Model, flow: float) -> float:
    """Heat drawn at a steam flow as a share of full fire [1]."""
    loss = known(given(case.boiler.standing_loss, "standing_loss"))[0]
    return (flow * case.behaviour.steam_heat(1.0, working_pressure(case)) + loss.value) / float(model.burner.full_heat)
