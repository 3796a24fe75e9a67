"""The search's motion on the firing line is that of the case, whatever is known of loads, waits and readings."""

from dataclasses import replace

import numpy as np
import pytest

from evenfire.judgement.case import SettingsSet, prepare
from evenfire.judgement.settle.grid import Positions, proved_roles
from evenfire.judgement.settle.ground import ground_of, possible_part
from evenfire.judgement.settle.search import FireAtCutOut, highest_kept, stack_of
from evenfire.plant.settings import DialReading, Settings
from evenfire.si import DiffPa, GaugePa
from tests.surveys import survey

COARSE: dict[str, object] = {
    "boiler.as_found": None,
    "boiler.controls.firing_rate.scale": {"from": "90 psi", "to": "130 psi", "division": "10 psi"},
    "boiler.controls.operating_limit.scale": {"from": "100 psi", "to": "140 psi", "division": "8 psi"},
    "boiler.controls.operating_limit.tolerance": {"dial": "1 psi"},
}


@pytest.mark.parametrize(
    "edits",
    [
        {},
        {"load.demand": {"shape": "constant", "steam": "3000 lb/h"}},
        {
            "load.demand": {
                "shape": "steps",
                "steps": [{"for": "1 h", "steam": "900 lb/h"}, {"for": "1 h", "steam": "3000 lb/h"}],
            }
        },
        {"boiler.burner.start.minimum_off": "200 s"},
        {"boiler.measured.undershoot": {"fall": "9 psi", "load": "40 %"}},
        {"boiler.burner.firing": "low-high-off", "boiler.controls.firing_rate.action": "two-position"},
    ],
    ids=["no load", "one load", "two loads", "minimum off", "measured", "two-position"],
)
def test_on_the_line_the_search_moves_as_the_case_does(edits: dict[str, object]) -> None:
    plant = survey({**COARSE, **edits}).plant
    boiler = plant.boilers[0]
    full = possible_part(ground_of(plant, boiler), FireAtCutOut.FULL)
    assert full is not None
    ground = replace(highest_kept(full), at_cut_out=FireAtCutOut.ON_THE_LINE)
    stack = stack_of(ground)
    assert ground.rate is not None
    assert isinstance(stack.undershoot, np.ndarray)
    assert isinstance(stack.run_on, np.ndarray)
    chance = np.random.default_rng(1)
    for _ in range(60):
        row, column = int(chance.integers(len(ground.operating.main))), int(chance.integers(len(ground.rate.main)))
        settings = Settings(
            operating_limit=reading(ground.operating, row),
            firing_rate=reading(ground.rate, column),
            high_limit=DialReading(main=GaugePa(float(ground.high.main[0]))),
            proved=proved_roles(boiler),
        )
        case = prepare(plant, boiler, SettingsSet.PROPOSED, settings)
        assert stack.undershoot[row, column, 0] == pytest.approx(case.stack.undershoot, rel=1e-6)
        assert stack.run_on[row, column, 0] == pytest.approx(case.stack.run_on, rel=1e-6)


def reading(positions: Positions, place: int) -> DialReading:
    assert positions.differential is not None
    return DialReading(
        main=GaugePa(float(positions.main[place])), differential=DiffPa(float(positions.differential[place]))
    )
