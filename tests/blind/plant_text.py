"""The plant file of a boiler of the blind tests, as its technician would write it: what is believed, not what is so."""

from typing import Final

from tests.blind.boilers import ACTIONS, COIL, FIRETUBE, PSI, VERTICAL, Boiler
from tests.blind.stepping import ON_OFF, PROPORTIONAL, TWO_POSITION

NAMES: Final = {FIRETUBE: "No. 1", VERTICAL: "Small boiler", COIL: "Coil boiler"}


class Pen:
    """Writes pressures and heats in the units of a country."""

    def __init__(self, system: str) -> None:
        self.is_us = system == "us"

    def pressure(self, psi: float) -> str:
        return f'"{psi:g} psi"' if self.is_us else f'"{psi * PSI / 1e5:.3f} bar"'

    def heat(self, watts: float) -> str:
        return f'"{watts / 293_071.07:.4g} MMBtu/h"' if self.is_us else f'"{watts / 1e3:.5g} kW"'


def plant_text(boiler: Boiler, system: str, log_table: str) -> str:
    """The whole file, with the table of the log where there is one."""
    pen = Pen(system)
    parts = [
        _site(boiler, pen),
        _vessel(boiler, pen),
        _burner(boiler, pen),
        _around(boiler, pen),
        _controls(boiler, pen),
    ]
    parts += [_as_found(boiler, pen), log_table]
    return "\n".join(part for part in parts if part)


def _site(boiler: Boiler, pen: Pen) -> str:
    dials = boiler.believed
    need = dials.cut_out - dials.differential - 10.0
    return f"""# Invented plant of a blind test.
format = 1

[site]
name = "Blind Test Works"
barometer = "{boiler.works.ambient / 1e3:.1f} kPa abs"

[load]
need = {pen.pressure(max(5.0, round(need)))}
need_at = "boiler"
wish = {pen.pressure(dials.high_limit - 1.0)}
rated_max = {pen.pressure(boiler.valve_set)}
"""


def _vessel(boiler: Boiler, pen: Pen) -> str:
    feed = "on-off" if boiler.works.feed_is_on_off > 0.0 else "modulating"
    return f"""[[boiler]]
name = "{NAMES.get(boiler.kind, "No. 2")}"
kind = "{boiler.kind}"
mawp = {pen.pressure(boiler.valve_set)}
output = {pen.heat(boiler.output)}
water_volume = "{boiler.water_volume:.4g} m3"
steam_volume = "{boiler.steam_volume:.4g} m3"
metal_mass = "{boiler.metal_mass:.4g} kg"
feedwater_temperature = "{boiler.feed_temperature - 273.15:.0f} C"
feed = "{feed}"
non_return_valve = false
new_refractory = false
"""


def _burner(boiler: Boiler, pen: Pen) -> str:
    works = boiler.works
    firing = {ON_OFF: "on-off", TWO_POSITION: "low-high-off"}.get(boiler.action, "modulating")
    turndown = "" if boiler.action == ON_OFF else f"turndown = {works.turndown:g}\n"
    # The chain can be timed with a watch, so the technician has it right; how long heat takes, nobody has.
    back = works.drive_back
    opening = float(min(20.0, round(0.3 * works.purge)))
    return f"""[[boiler.burner]]
fuel = "{boiler.fuel}"
firing = "{firing}"
{turndown}input = {pen.heat(boiler.input_nameplate)}
input_clocked = {pen.heat(boiler.input_clocked)}
efficiency = "{100.0 * boiler.efficiency:.1f} %"
stroke = "{works.stroke:g} s"
flame_failure = "3 s"

[boiler.burner.start]
delay = "{works.delay:g} s"
drive_open = "{opening:g} s"
prepurge = "{max(1.0, works.purge - back - opening):g} s"
purge_damper = "open"
drive_back = "{back:g} s"
pilot_trial = "{works.pilot:g} s"
main_trial = "0 s"
flame_to_low_fire = "5 s"
release_delay = "{max(0.0, works.low - 5.0):g} s"
minimum_off = "0 s"
postpurge = "{works.postpurge:g} s"
"""


def _around(boiler: Boiler, pen: Pen) -> str:
    return f"""[[boiler.safety_valve]]
name = "valve"
set = {pen.pressure(boiler.valve_set)}
capacity = "{boiler.output / 2.0e6 * 1.3 * 3600.0:.4g} kg/h"
blowdown = "4 %"

[boiler.gauge]
to = {pen.pressure(2.0 * boiler.valve_set)}
division = {pen.pressure(5.0)}
water_leg = "none"
"""


def _controls(boiler: Boiler, pen: Pen) -> str:
    dials = boiler.believed
    tolerance = f"tolerance = {{ dial = {pen.pressure(boiler.tolerance)}, proved = {pen.pressure(0.5)} }}"
    top = pen.pressure(50.0 * (boiler.valve_set // 50.0 + 1.0))
    scale = f"scale = {{ from = {pen.pressure(5.0)}, to = {top}, division = {pen.pressure(1.0)} }}"
    ends = f"from = {pen.pressure(2.0)}, to = {pen.pressure(60.0)}, division = {pen.pressure(0.5)}"
    differential = f"differential_scale = {{ {ends} }}"
    line = 'water_leg = "none"\nsenses = "boiler"\nvalve_in_line = false\nsiphon = true\n'
    text = f"""[boiler.controls.operating_limit]
{scale}
{differential}
differential_counts = "below"
{tolerance}
{line}own_element = true

[boiler.controls.high_limit]
{scale}
{tolerance}
{line}own_element = true
reset = "manual"
"""
    if boiler.action != ON_OFF:
        band = (
            f'{differential}\ndifferential_counts = "above"\n' if boiler.action in (PROPORTIONAL, TWO_POSITION) else ""
        )
        action = ACTIONS[boiler.action]
        text += f'\n[boiler.controls.firing_rate]\naction = "{action}"\n{scale}\n{band}{tolerance}\n{line}'
    if dials.hold > 0.0 and boiler.action != ON_OFF:
        text += f"\n[boiler.controls.low_fire_hold]\n{scale}\n{tolerance}\n{line}"
    return text


def _as_found(boiler: Boiler, pen: Pen) -> str:
    dials = boiler.believed
    text = f"""[boiler.as_found]
read_on = 2026-10-01
operating_limit = {pen.pressure(dials.cut_out)}
operating_limit_differential = {pen.pressure(dials.differential)}
high_limit = {pen.pressure(dials.high_limit)}
"""
    if boiler.action in (PROPORTIONAL, TWO_POSITION):
        text += f"firing_rate = {pen.pressure(dials.fire_point)}\n"
        text += f"firing_rate_differential = {pen.pressure(dials.fire_range)}\n"
    elif boiler.action != ON_OFF:
        text += f"firing_rate = {pen.pressure(dials.fire_point + 0.5 * dials.fire_range)}\n"
    if dials.hold > 0.0 and boiler.action != ON_OFF:
        text += f"low_fire_hold = {pen.pressure(dials.hold)}\n"
    return text + 'switch = "automatic"\njumpers = []\nunexplained_resets = 0\n'
