"""The motion that millions of errors are put beside: fires on their line, run-on between two fires, what is seen."""

import numpy as np
import pytest

from evenfire.judgement.tolerance.motion import BurnerMotion, Motion, _closed, _out_of_the_way, motion_of
from evenfire.plant.known import Missing, NotKnownError
from tests.judgement.plants_for_rules import HIGH_PRESSURE, REMOVED, Edits, case_of, edited
from tests.surveys import case_of as surveyed
from tests.surveys import survey

PSI = 6894.757293168


def moving(
    low: float = 0.25, from_low: float = 1.0, from_full: float | Missing = 4.0, *, proportional: bool = True
) -> BurnerMotion:
    """Run-on a psi from a quarter of fire and four from all of it [psi]."""
    full = from_full if isinstance(from_full, Missing) else from_full * PSI
    return BurnerMotion(
        low_share=low,
        is_proportional=proportional,
        from_low_fire=from_low * PSI,
        from_full_fire=full,
        drop_overshoot=2.0 * PSI,
    )


def at(*cut_outs: float, of: BurnerMotion) -> list[float]:
    """Fires of a burner that is stopped at these pressures, its band from 105 to 115 psi."""
    points = np.array(cut_outs) * PSI
    high, low = np.full_like(points, 105 * PSI), np.full_like(points, 115 * PSI)
    return [float(each) for each in of.share_at(points, high, low)]


def test_a_burner_is_stopped_at_the_fire_of_its_line_or_of_its_step() -> None:
    # 7.5 % of fire for each psi of the band, a quarter above it and all of it below.
    assert at(120, 115, 113, 110, 105, 90, of=moving()) == pytest.approx([0.25, 0.25, 0.40, 0.625, 1.0, 1.0])
    # In steps all of it until low fire is called, and there the lower one counts.
    assert at(120, 115, 114.99, 110, of=moving(proportional=False)) == [0.25, 0.25, 1.0, 1.0]


def test_run_on_goes_from_that_of_low_fire_to_that_of_all_of_it() -> None:
    fires = np.array([0.25, 0.4, 0.625, 1.0])
    assert moving().run_on_at(fires) / PSI == pytest.approx([1.0, 1.6, 2.5, 4.0])
    # One fire has one run-on, and needs no high limit to be known.
    single = moving(low=1.0, from_low=3.0, from_full=Missing(("controls.high_limit",)))
    assert single.run_on_at(np.array([1.0, 1.0])) / PSI == pytest.approx([3.0, 3.0])
    with pytest.raises(NotKnownError):
        moving(from_full=Missing(("controls.high_limit",))).run_on_at(fires)


def test_of_several_burners_the_one_that_moves_most_counts() -> None:
    motion = Motion(burners=(moving(), moving(from_full=6.0), moving(from_full=5.0)), rigs=(), missing=())
    assert motion.from_full_fire == pytest.approx(6 * PSI)
    assert motion.drop_overshoot == pytest.approx(2 * PSI)
    unknown = Motion(burners=(moving(), moving(from_full=Missing(("controls.high_limit",)))), rigs=(), missing=())
    with pytest.raises(NotKnownError):
        _ = unknown.from_full_fire


@pytest.mark.parametrize(
    ("edits", "up"),
    [
        # A trip at 135 above a cut-out at 125 goes as far beyond 2 x 125 as it takes: 115 up, to 250.
        ({}, 115.0),
        ({"boiler.as_found.operating_limit": "60 psi", "boiler.as_found.low_fire_hold": "20 psi"}, 0.0),
        ({"boiler.as_found.high_limit": REMOVED}, 0.0),
    ],
)
def test_the_high_limit_is_put_where_it_stops_nothing(edits: Edits, up: float) -> None:
    assert _out_of_the_way(case_of(edited(HIGH_PRESSURE, edits))) / PSI == pytest.approx(up)


def test_without_the_loop_the_closed_forms_speak_for_the_lowest_fire() -> None:
    closed = _closed(case_of(HIGH_PRESSURE))
    assert closed.low_share == pytest.approx(0.25)
    assert closed.from_low_fire == pytest.approx(PSI)
    assert closed.from_full_fire == pytest.approx(4 * PSI)
    assert closed.drop_overshoot == 0.0
    single: Edits = {"boiler.burner.0.firing": "on-off", "boiler.burner.0.turndown": REMOVED}
    assert _closed(case_of(edited(HIGH_PRESSURE, single))).low_share == 1.0


def test_what_low_fire_runs_on_is_seen_from_low_fire_however_narrow_the_differential_is() -> None:
    # Heat on its way goes with the fire: a quarter of what all of it runs on, within what steam and shell take of it.
    # With a psi between cut-in and cut-out and a narrow band far above both, the band has to come down below both.
    scale = {"from": "1 psi", "to": "22 psi", "division": "1 psi"}
    narrow: dict[str, object] = {
        "boiler.controls.operating_limit.differential_scale": scale,
        "boiler.as_found.operating_limit_differential": "1 psi",
        "boiler.controls.firing_rate.differential_scale": scale,
        "boiler.as_found.firing_rate": "130 psi",
        "boiler.as_found.firing_rate_differential": "1 psi",
        "boiler.burner.stroke": "1 s",
        "boiler.burner.start.release_delay": "0 s",
    }
    (burner,) = motion_of(surveyed(survey(narrow))).burners
    assert not isinstance(burner.from_full_fire, Missing)
    assert 0.15 < burner.from_low_fire / burner.from_full_fire < 0.3
