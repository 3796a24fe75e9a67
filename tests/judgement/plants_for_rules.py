"""Plants in trade units on which every rule is clear, and the way to change them: the ground of the rule cases.

All of them are invented. The numbers are round, water legs are none, and run-on and undershoot are measured, so that
every expected side of a case is mental arithmetic.
"""

import copy
from datetime import date
from typing import Final

import tomlkit

from evenfire.delivery.intake.plant_file import read_plant_text
from evenfire.judgement.case import Case, SettingsSet, prepare
from evenfire.plant.plant import Plant
from evenfire.plant.settings import Settings

Value = str | int | float | bool | date | list["Value"] | dict[str, "Value"]
Table = dict[str, Value]


class Removed:
    """Stands for a key that is taken out."""

    def __repr__(self) -> str:
        """The same in every process: test names are made of it."""
        return "removed"


REMOVED: Final = Removed()
Edits = dict[str, Value | Removed]


def control(scale_to: str, **more: Value) -> Table:
    scale: Table = {"from": "10 psi", "to": scale_to, "division": "1 psi"}
    made: Table = {
        "scale": scale,
        "tolerance": {"dial": "2 psi", "proved": "0.5 psi"},
        "water_leg": "none",
        "senses": "boiler",
        "valve_in_line": False,
        "siphon": True,
        "own_element": True,
        "element_rating": "225 psi",
    }
    return {**made, **more}


WIDE_DIFFERENTIAL: Final[Table] = {"from": "1 psi", "to": "30 psi", "division": "1 psi"}


def valve(name: str) -> Table:
    """51.5 A P K gives 8713.8 lb/h for a square inch with K = 1 at 150 psi, so 4590 lb/h for this one."""
    return {
        "name": name,
        "set": "150 psi",
        "capacity": "4500 lb/h",
        "blowdown": "6 psi",
        "orifice_area": "0.6 in2",
        "coefficient": 0.878,
        "lift_tested_at": "120 psi",
    }


HIGH_PRESSURE: Final[Table] = {
    "format": 1,
    "site": {"name": "Tern Street Bakery", "altitude": "0 ft", "boilers_share_header": False},
    # A lag of nought and a slow drop leave no overshoot of the design drop.
    "load": {
        "need": "100 psi",
        "need_at": "boiler",
        "wish": "130 psi",
        "rated_max": "150 psi",
        "drop": {"size": "50 %", "over": "600 s"},
    },
    "boiler": [
        {
            "name": "No. 1",
            "kind": "firetube",
            "mawp": "150 psi",
            # 200 boiler horsepower are 200 x 34.5 = 6900 lb/h from and at 212 F; 8.3 MMBtu/h x 80 % is a little less.
            "output": "200 bhp",
            "heating_surface": "1000 ft2",
            "water_volume": "1450 gal",
            "steam_volume": "65 ft3",
            "metal_mass": "17500 lb",
            "feedwater_temperature": "200 F",
            "non_return_valve": False,
            "new_refractory": False,
            "burner": [
                {
                    "fuel": "natural gas",
                    "firing": "modulating",
                    "turndown": 4,
                    "input": "8.3 MMBtu/h",
                    "input_clocked": "8.3 MMBtu/h",
                    "efficiency": "80 %",
                    "heat_lag": "0 s",
                    "stroke": "30 s",
                    "flame_failure": "3 s",
                    "prepurge_air_changes": 5,
                    "prepurge_air": "90 %",
                    "starts_at_low_fire": True,
                    "start": {
                        "delay": "3 s",
                        "drive_open": "20 s",
                        "prepurge": "30 s",
                        "purge_damper": "open",
                        "drive_back": "20 s",
                        "pilot_trial": "10 s",
                        "main_trial": "10 s",
                        "flame_to_low_fire": "5 s",
                        "release_delay": "15 s",
                        "minimum_off": "0 s",
                        "postpurge": "15 s",
                    },
                }
            ],
            "safety_valve": [valve("front"), valve("rear")],
            "gauge": {"to": "300 psi", "division": "5 psi", "calibrated": date(2026, 3, 1), "water_leg": "none"},
            "measured": {
                "run_on": [
                    {"rise": "1 psi", "firing": "25 %", "load": "none"},
                    {"rise": "4 psi", "firing": "100 %", "load": "none"},
                ],
                "undershoot": {"fall": "4 psi", "load": "25 %"},
            },
            "controls": {
                "operating_limit": control(
                    "150 psi", differential_scale=WIDE_DIFFERENTIAL, differential_counts="below"
                ),
                "high_limit": control("200 psi", reset="manual"),
                "firing_rate": control(
                    "150 psi",
                    action="proportional",
                    differential_scale=WIDE_DIFFERENTIAL,
                    differential_counts="above",
                ),
                "low_fire_hold": control("150 psi"),
            },
            "as_found": {
                "read_on": date(2026, 11, 3),
                # Cut-out 125, cut-in 115; high fire 105, low fire 115.
                "operating_limit": "125 psi",
                "operating_limit_differential": "10 psi",
                "high_limit": "135 psi",
                "firing_rate": "105 psi",
                "firing_rate_differential": "10 psi",
                "low_fire_hold": "60 psi",
                "switch": "automatic",
                "jumpers": [],
                "unexplained_resets": 0,
            },
        }
    ],
}


def low_control(**more: Value) -> Table:
    scale: Table = {"from": "0 psi", "to": "15 psi", "division": "0.25 psi"}
    return control("15 psi", **{"scale": scale, "element_rating": "30 psi", **more})


LOW_PRESSURE: Final[Table] = {
    "format": 1,
    "site": {"name": "Heron Lane School", "altitude": "0 ft", "boilers_share_header": False},
    "load": {"need": "3 psi", "need_at": "boiler"},
    "boiler": [
        {
            "name": "cellar",
            "kind": "cast-iron",
            "mawp": "15 psi",
            "output": "1000000 Btu/h",
            "heating_surface": "150 ft2",
            "water_volume": "120 gal",
            "steam_volume": "6 ft3",
            "metal_mass": "5000 lb",
            "non_return_valve": False,
            "new_refractory": False,
            "burner": [
                {
                    "fuel": "natural gas",
                    "firing": "on-off",
                    "input": "1.25 MMBtu/h",
                    "input_clocked": "1.25 MMBtu/h",
                    "efficiency": "80 %",
                    "heat_lag": "0 s",
                    "flame_failure": "3 s",
                    "prepurge_air_changes": 4,
                    "prepurge_air": "100 %",
                    "starts_at_low_fire": False,
                    "start": {"prepurge": "30 s", "pilot_trial": "10 s", "main_trial": "10 s", "minimum_off": "0 s"},
                }
            ],
            "safety_valve": [
                {
                    "name": "only",
                    "set": "15 psi",
                    "capacity": "1050 lb/h",
                    "blowdown": "2 psi",
                    "lift_tested_at": "12 psi",
                }
            ],
            "gauge": {"to": "30 psi", "division": "1 psi", "calibrated": date(2026, 3, 1), "water_leg": "none"},
            "measured": {
                "run_on": [{"rise": "0.3 psi", "firing": "100 %", "load": "none"}],
                "undershoot": {"fall": "1 psi", "load": "100 %"},
            },
            "controls": {
                "operating_limit": low_control(
                    differential_scale={"from": "1 psi", "to": "6 psi", "division": "0.5 psi"},
                    differential_counts="below",
                ),
                "high_limit": low_control(reset="manual"),
                "low_fire_hold": low_control(),
            },
            "as_found": {
                "read_on": date(2026, 11, 3),
                # Cut-out 8, cut-in 5, each control off by half a psi at most.
                "operating_limit": "8 psi",
                "operating_limit_differential": "3 psi",
                "high_limit": "11.5 psi",
                "low_fire_hold": "2.5 psi",
                "proved": ["operating_limit", "high_limit", "low_fire_hold"],
                "switch": "automatic",
                "jumpers": [],
                "unexplained_resets": 0,
            },
        }
    ],
}


def edited(table: Table, edits: Edits) -> Table:
    """A copy of a plant with each path (``boiler.safety_valve.0.set``; ``boiler`` is the first) set or removed."""
    made = copy.deepcopy(table)
    for path, value in edits.items():
        _set(made, tuple(path.split(".")), value)
    return made


def _set(table: Table, path: tuple[str, ...], value: Value | Removed) -> None:
    place: Value = table
    for key in path[:-1]:
        place = _inside(place, key)
    last = path[-1]
    if isinstance(place, list):
        assert not isinstance(value, Removed), "take a valve or a burner out by giving the list that is left"
        place[int(last)] = value
        return
    assert isinstance(place, dict)
    if isinstance(value, Removed):
        del place[last]
    else:
        place[last] = copy.deepcopy(value)


def _inside(place: Value, key: str) -> Value:
    if isinstance(place, list):
        return place[int(key)]
    assert isinstance(place, dict)
    inner = place[key]
    is_index = key == "boiler" and isinstance(inner, list)
    return inner[0] if is_index and isinstance(inner, list) else inner


def plant_of(table: Table) -> Plant:
    return read_plant_text(tomlkit.dumps(table), "case.toml").plant


def case_of(table: Table) -> Case:
    """The first boiler with its settings as found."""
    plant = plant_of(table)
    boiler = plant.boilers[0]
    settings = Settings() if boiler.as_found is None else boiler.as_found.settings
    return prepare(plant, boiler, SettingsSet.AS_FOUND, settings)


WATER_TUBE: Final = edited(
    HIGH_PRESSURE,
    {
        "boiler.kind": "watertube",
        "boiler.measured.warm_up_rate": "90 F/h",
        "boiler.burner.0.prepurge_air_changes": 8,
        "boiler.as_found.low_fire_hold": "100 psi",
    },
)
TWO_BOILERS: Final = edited(
    HIGH_PRESSURE,
    {
        "site.boilers_share_header": True,
        "boiler.safety_valve.0.capacity": "6000 lb/h",
        "boiler.safety_valve.0.orifice_area": "1 in2",
        "boiler.safety_valve.1.capacity": "6000 lb/h",
        "boiler.safety_valve.1.orifice_area": "1 in2",
    },
)
_boilers = TWO_BOILERS["boiler"]
assert isinstance(_boilers, list)
# 100 boiler horsepower are 3450 lb/h.
_boilers.append(
    {
        "name": "No. 2",
        "kind": "firetube",
        "mawp": "200 psi",
        "output": "100 bhp",
        "safety_valve": [{"name": "only", "set": "200 psi", "capacity": "4000 lb/h", "blowdown": "6 psi"}],
    }
)
BASES: Final = {
    "high pressure": HIGH_PRESSURE,
    "low pressure": LOW_PRESSURE,
    "water tube": WATER_TUBE,
    "two boilers": TWO_BOILERS,
}
