"""The positions that the dials of one boiler can really be set to."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from evenfire.judgement.case import off_by
from evenfire.physics.switching import ends, leg_shift
from evenfire.plant.boiler import Boiler
from evenfire.plant.controls import Control, Role, Scale
from evenfire.plant.known import Missing, NotKnownError, given, known
from evenfire.si import PA_PER_BAR, PA_PER_PSI, ROUNDING_PA

Floats = NDArray[np.float64]

STEP_WHEN_PROVED = 0.5 * PA_PER_PSI
"""A control that is set against a gauge is set to half a psi, on high pressure [Pa]."""
STEP_WHEN_PROVED_LOW_PRESSURE = 0.25 * PA_PER_PSI
"""The same on low pressure [Pa]."""
STEP_WHEN_PROVED_METRIC = 0.05 * PA_PER_BAR
"""The same where the dial is marked in bar: no gauge in bar has a mark at half a psi [Pa]."""
STEP_WHEN_PROVED_METRIC_LOW_PRESSURE = 0.02 * PA_PER_BAR
"""[Pa]"""
STEPS_IN_A_DIVISION = 2
"""A pointer can be set on a mark or half way between two."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Positions:
    """Every position of one control, as arrays of one length."""

    main: Floats
    """On the dial [Pa gauge]"""
    differential: Floats | None
    """On the dial [Pa]"""
    lower: Floats
    """Lower point at the boiler; the point itself where there is no differential [Pa gauge]"""
    upper: Floats
    """Upper point at the boiler [Pa gauge]"""
    between_marks: NDArray[np.bool_]
    """Whether the main pointer stands between two marks of its scale"""

    def where(self, keep: NDArray[np.bool_]) -> "Positions":
        """Only the positions for which ``keep`` is true."""
        return Positions(
            main=self.main[keep],
            differential=None if self.differential is None else self.differential[keep],
            lower=self.lower[keep],
            upper=self.upper[keep],
            between_marks=self.between_marks[keep],
        )


def proved_roles(boiler: Boiler) -> frozenset[Role]:
    """The controls that will be proved against a gauge, because the survey says how well they can be."""
    controls = ((role, boiler.controls.of(role)) for role in Role)
    return frozenset(role for role, control in controls if control is not None and control.tolerance.proved is not None)


def single_positions(boiler: Boiler, role: Role) -> Positions:
    """Positions of a control that acts at one point (high limit, low-fire hold)."""
    control = _settable(boiler, role)
    main = _main_positions(boiler, role, control)
    point = main + leg_shift(control).offset
    return Positions(
        main=main,
        differential=None,
        lower=point,
        upper=point,
        between_marks=_between_marks(boiler, role, control, main),
    )


def paired_positions(boiler: Boiler, role: Role) -> Positions:
    """Positions of a control with a differential or range: every main position with every differential."""
    control = _settable(boiler, role)
    scale, counts = known(
        given(control.differential_scale, f"controls.{role.value}.differential_scale"),
        given(control.counts, f"controls.{role.value}.differential_counts"),
    )
    widths = _steps(scale.lowest, scale.highest, (scale.division or scale.highest) / STEPS_IN_A_DIVISION)
    if scale.division is None:
        widths = np.array([float(scale.lowest)])
    main, differential = (
        axis.ravel() for axis in np.meshgrid(_main_positions(boiler, role, control), widths, indexing="ij")
    )
    lower, upper = ends(main + leg_shift(control).offset, differential, counts)
    return Positions(
        main=main,
        differential=differential,
        lower=lower,
        upper=upper,
        between_marks=_between_marks(boiler, role, control, main),
    )


def _settable(boiler: Boiler, role: Role) -> Control:
    """The control, or everything that is missing before its dial can be chosen."""
    control = boiler.controls.of(role)
    if control is None:
        raise NotKnownError((f"controls.{role.value}",))
    off: float | Missing = off_by(boiler, role, proved_roles(boiler))
    known(given(control.scale, f"controls.{role.value}.scale"), off)
    return control


def _main_positions(boiler: Boiler, role: Role, control: Control) -> Floats:
    """Main positions on the dial: its half divisions, or even pressures at the boiler for a control that is proved."""
    scale = known(given(control.scale, f"controls.{role.value}.scale"))[0]
    if role not in proved_roles(boiler):
        return _steps(scale.lowest, scale.highest, scale.division / STEPS_IN_A_DIVISION)
    step = _step_when_proved(boiler, scale)
    offset = leg_shift(control).offset
    first = np.ceil((scale.lowest + offset - ROUNDING_PA) / step) * step
    even = _steps(float(first), scale.highest + offset, step) - offset
    stands = _reading_now(boiler, role)
    # A dial that may stay where it stands is a dial less to turn, even where its pressure is not even.
    return even if stands is None else np.unique(np.append(even, stands))


def _reading_now(boiler: Boiler, role: Role) -> float | None:
    found = None if boiler.as_found is None else boiler.as_found.settings
    settings = found if boiler.as_left is None else boiler.as_left
    reading = None if settings is None else settings.of(role)
    return None if reading is None else float(reading.main)


def _between_marks(boiler: Boiler, role: Role, control: Control, main: Floats) -> NDArray[np.bool_]:
    """Where a pointer stands off the marks; a proved control is set by its gauge, and whole pounds are round."""
    scale = known(given(control.scale, f"controls.{role.value}.scale"))[0]
    if role in proved_roles(boiler):
        steps = (main + leg_shift(control).offset) / (2 * _step_when_proved(boiler, scale))
    else:
        steps = (main - scale.lowest) / scale.division
    return np.abs(steps - np.round(steps)) > 1e-6


def _step_when_proved(boiler: Boiler, scale: Scale) -> float:
    if _is_marked_in_psi(scale):
        return STEP_WHEN_PROVED_LOW_PRESSURE if boiler.is_low_pressure else STEP_WHEN_PROVED
    return STEP_WHEN_PROVED_METRIC_LOW_PRESSURE if boiler.is_low_pressure else STEP_WHEN_PROVED_METRIC


def _is_marked_in_psi(scale: Scale) -> bool:
    """Whether a division is an even number of tenths of a psi; one in bar or kPa never is."""
    tenths = 10 * scale.division / PA_PER_PSI
    return abs(tenths - round(tenths)) < 1e-6


def _steps(lowest: float, highest: float, step: float) -> Floats:
    """From ``lowest`` to ``highest`` in steps; counted, so that no rounding piles up."""
    count = int(np.floor((highest - lowest) / step + 1e-6)) + 1
    return lowest + step * np.arange(max(count, 0), dtype=np.float64)
