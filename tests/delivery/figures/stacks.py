"""Stacks for the tests of the figure: the demo laundry with its numbers fixed here, and plants drawn at random."""

from dataclasses import replace
from functools import cache

from hypothesis import strategies as st

from evenfire.delivery.figures.stack_layout import lay_out
from evenfire.delivery.figures.stack_levels import StackLayout
from evenfire.judgement.case import Case, SettingsSet, prepare
from evenfire.plant.boiler import Boiler
from evenfire.plant.burner import Burner, Firing
from evenfire.plant.controls import (
    Action,
    Control,
    Controls,
    Counts,
    Filling,
    Position,
    Reset,
    Role,
    Tolerance,
    WaterLeg,
)
from evenfire.plant.known import Datum
from evenfire.plant.load import Load
from evenfire.plant.plant import Plant
from evenfire.plant.safety_valve import SafetyValve
from evenfire.plant.settings import AsFound, DialReading, Settings
from evenfire.si import M_PER_FT, PA_PER_PSI, DiffPa, GaugePa
from tests.surveys import survey

LEG = 0.433 * 0.5
"""Half a foot of full water leg below the tap: a dial acts that much early (HB1919, 0.433 psi per foot) [psi]."""
FULL_LEG = WaterLeg(height=0.5 * M_PER_FT, position=Position.BELOW_TAP, filling=Filling.FULL)


def psi(number: float) -> GaugePa:
    """So many psi gauge in Pa."""
    return GaugePa(number * PA_PER_PSI)


def dial(main: float, differential: float | None = None) -> DialReading:
    """What a dial shows, in psi."""
    return DialReading(main=psi(main), differential=None if differential is None else DiffPa(psi(differential)))


def tolerance(by_dial: float, proved: float | None = None) -> Tolerance:
    """How far a control may be off, in psi."""
    return Tolerance(dial=DiffPa(psi(by_dial)), proved=None if proved is None else DiffPa(psi(proved)))


FOUND = Settings(operating_limit=dial(120, 8), high_limit=dial(140), firing_rate=dial(110, 15), low_fire_hold=dial(60))
PROPOSED = Settings(
    operating_limit=dial(128, 8),
    high_limit=dial(136.5),
    firing_rate=dial(110, 10),
    low_fire_hold=dial(60),
    proved=frozenset({Role.HIGH_LIMIT, Role.OPERATING_LIMIT}),
)


@cache
def laundry() -> tuple[Plant, Boiler]:
    """A modulating fire-tube boiler, every number of the stack fixed here."""
    plant = survey().plant
    boiler = plant.boilers[0]
    controls = Controls(
        operating_limit=Control(counts=Counts.BELOW, tolerance=tolerance(2, 0.5), water_leg=FULL_LEG),
        high_limit=Control(tolerance=tolerance(2, 0.5), water_leg=FULL_LEG, reset=Reset.MANUAL),
        firing_rate=Control(
            counts=Counts.ABOVE, action=Action.PROPORTIONAL, tolerance=tolerance(2), water_leg=FULL_LEG
        ),
        low_fire_hold=Control(tolerance=tolerance(2), water_leg=FULL_LEG),
    )
    boiler = replace(
        boiler,
        name="No. 1",
        mawp=psi(150),
        burners=(replace(boiler.burners[0], firing=Firing.MODULATING, turndown=4.0),),
        safety_valves=tuple(valve(name, 150, blowdown=6) for name in ("front", "rear")),
        controls=controls,
        as_found=AsFound(settings=FOUND),
        proposed=None,
    )
    load = Load(need=psi(105), wish=psi(130), rated_max=psi(150))
    site = replace(plant.site, name="Gull Quay Laundry")
    return Plant(site=site, load=load, boilers=(boiler,)), boiler


def valve(name: str, set_at: float, *, blowdown: float | None = None, lift: float | None = None) -> SafetyValve:
    """A safety valve, in psi."""
    return SafetyValve(
        name=name,
        set_pressure=psi(set_at),
        blowdown=None if blowdown is None else Datum(psi(blowdown)),
        tested_lift=None if lift is None else psi(lift),
    )


def case(
    boiler: Boiler, settings: Settings, which: SettingsSet = SettingsSet.AS_FOUND, load: Load | None = None
) -> Case:
    """A case of a boiler at the laundry."""
    plant = laundry()[0]
    return prepare(replace(plant, load=load or plant.load, boilers=(boiler,)), boiler, which, settings)


def found_and_proposed() -> StackLayout:
    """The laundry as found beside proposed."""
    boiler = laundry()[1]
    return lay_out(case(boiler, FOUND), case(boiler, PROPOSED, SettingsSet.PROPOSED))


def burner(firing: Firing, turndown: float | None) -> Burner:
    """The laundry's burner, fired in another way."""
    return replace(laundry()[1].burners[0], firing=firing, turndown=turndown)


_PRESSURES = st.floats(min_value=0.5, max_value=300.0).map(lambda number: round(number * 4) / 4)
_NARROW = st.floats(min_value=118.0, max_value=126.0).map(lambda number: round(number * 4) / 4)


@st.composite
def settings(draw: st.DrawFn) -> Settings:
    """Any settings, in any order, some not read; often crowded into a few psi.

    No differential reaches below 10 psi of vacuum: at a full vacuum there is no steam to judge.
    """
    pressures = draw(st.sampled_from((_PRESSURES, _NARROW)))

    def two(main: float) -> st.SearchStrategy[DialReading]:
        return st.builds(
            dial, st.just(main), st.one_of(st.none(), st.floats(min_value=0.0, max_value=min(20, main + 10)))
        )

    single = st.one_of(st.none(), pressures.map(dial))
    double = st.one_of(st.none(), pressures.flatmap(two))
    return Settings(
        operating_limit=draw(double), high_limit=draw(single), firing_rate=draw(double), low_fire_hold=draw(single)
    )


def _burners() -> tuple[tuple[Burner, ...], ...]:
    return (), laundry()[1].burners, (burner(Firing.ON_OFF, None),), (burner(Firing.LOW_HIGH_OFF, 2.0),)


@st.composite
def layouts(draw: st.DrawFn) -> StackLayout:
    """Any stack: dangerous, incomplete, crowded or wide; one or two sets of settings."""
    plant, base = laundry()
    valves = st.builds(
        valve,
        st.text(max_size=30),
        _PRESSURES,
        blowdown=st.one_of(st.none(), st.floats(min_value=0.0, max_value=12.0)),
        lift=st.one_of(st.none(), _PRESSURES),
    )
    boiler = replace(
        base,
        name=draw(st.text(max_size=60)),
        mawp=psi(draw(_PRESSURES)),
        burners=draw(
            st.sampled_from(((), base.burners, (burner(Firing.ON_OFF, None),), (burner(Firing.LOW_HIGH_OFF, 2.0),)))
        ),
        safety_valves=tuple(draw(st.lists(valves, max_size=4))),
        as_found=None,
    )
    optional = st.one_of(st.none(), _PRESSURES.map(psi))
    load = Load(need=draw(optional), wish=draw(optional), rated_max=draw(optional))
    both = draw(st.booleans())
    cases = [prepare(replace(plant, load=load), boiler, SettingsSet.AS_FOUND, draw(settings()))]
    if both:
        cases.append(prepare(replace(plant, load=load), boiler, SettingsSet.PROPOSED, draw(settings())))
    return lay_out(cases[0], cases[1] if both else None)
