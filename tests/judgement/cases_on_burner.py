"""Cases of the rules on the burner."""

from tests.judgement.plants_for_rules import REMOVED, Edits
from tests.judgement.rule_cases import CannotBe, Row, boundary, clear, fires, silent, unjudged

BURNER = "boiler.burner.0."
START = "boiler.burner.0.start."


def fired(fuel: str, million_btu_h: str) -> Edits:
    return {
        BURNER + "fuel": fuel,
        BURNER + "input": f"{million_btu_h} MMBtu/h",
        BURNER + "input_clocked": f"{million_btu_h} MMBtu/h",
    }


NO_INPUT: Edits = {BURNER + "input": REMOVED, BURNER + "input_clocked": REMOVED}

ROWS: tuple[Row | CannotBe, ...] = (
    # 8.3 x 1.02 = 8.466
    fires(
        "input-within-nameplate",
        {BURNER + "input_clocked": "8.5 MMBtu/h"},
        observed="8.5 MMBtu/h",
        limit="8.466 MMBtu/h",
    ),
    boundary("input-within-nameplate", {BURNER + "input_clocked": "8.466 MMBtu/h"}, "clear"),
    clear("input-within-nameplate", {BURNER + "input_clocked": "8.4 MMBtu/h"}),
    unjudged("input-within-nameplate", {BURNER + "input_clocked": REMOVED}, "burner.input_clocked"),
    unjudged(
        "input-within-nameplate",
        {BURNER + "input_clocked": REMOVED, BURNER + "input": REMOVED},
        "burner.input",
        "burner.input_clocked",
    ),
    unjudged("input-within-nameplate", {"boiler.burner": []}, "burner"),
    fires("prepurge-air-changes", {BURNER + "prepurge_air_changes": 3.9}, observed="3.9", limit="4"),
    fires(
        "prepurge-air-changes",
        {BURNER + "prepurge_air_changes": 7.9},
        observed="7.9",
        limit="8",
        base="water tube",
    ),
    boundary("prepurge-air-changes", {BURNER + "prepurge_air_changes": 4}, "clear"),
    boundary("prepurge-air-changes", {BURNER + "prepurge_air_changes": 8}, "clear", base="water tube"),
    clear("prepurge-air-changes"),
    unjudged("prepurge-air-changes", {BURNER + "prepurge_air_changes": REMOVED}, "burner.prepurge_air_changes"),
    fires("prepurge-air-flow", {BURNER + "prepurge_air": "69 %"}, observed="69 %", limit="70 %"),
    boundary("prepurge-air-flow", {BURNER + "prepurge_air": "70 %"}, "clear"),
    clear("prepurge-air-flow", {BURNER + "prepurge_air": "71 %"}),
    unjudged("prepurge-air-flow", {BURNER + "prepurge_air": REMOVED}, "burner.prepurge_air"),
    fires("pilot-trial-time", {START + "pilot_trial": "16 s"}, observed="16 s", limit="15 s"),
    boundary("pilot-trial-time", {START + "pilot_trial": "15 s"}, "clear"),
    clear("pilot-trial-time", {START + "pilot_trial": "14 s"}),
    unjudged("pilot-trial-time", {START + "pilot_trial": REMOVED}, "burner.start.pilot_trial"),
    fires("main-trial-time", {START + "main_trial": "16 s"}, observed="16 s", limit="15 s"),
    boundary("main-trial-time", {START + "main_trial": "15 s"}, "clear"),
    clear("main-trial-time", {START + "main_trial": "14 s"}),
    unjudged("main-trial-time", {START + "main_trial": REMOVED}, "burner.start.main_trial"),
    fires("flame-failure-time", {BURNER + "flame_failure": "5 s"}, observed="5 s", limit="4 s"),
    boundary("flame-failure-time", {BURNER + "flame_failure": "4 s"}, "clear"),
    clear("flame-failure-time", {BURNER + "flame_failure": "3 s"}),
    unjudged("flame-failure-time", {BURNER + "flame_failure": REMOVED}, "burner.flame_failure"),
    fires("low-fire-start", {BURNER + "starts_at_low_fire": False}),
    fires("low-fire-start", {**fired("light oil", "3.01"), BURNER + "starts_at_low_fire": False}),
    silent("low-fire-start", {**fired("light oil", "3"), BURNER + "starts_at_low_fire": False}),
    silent("low-fire-start", {**fired("natural gas", "2.5"), BURNER + "starts_at_low_fire": False}),
    fires("low-fire-start", {**fired("lp gas", "2.51"), BURNER + "starts_at_low_fire": False}),
    clear("low-fire-start"),
    unjudged("low-fire-start", {BURNER + "starts_at_low_fire": REMOVED}, "burner.starts_at_low_fire"),
    unjudged(
        "low-fire-start",
        {BURNER + "starts_at_low_fire": False, BURNER + "input": REMOVED, BURNER + "input_clocked": REMOVED},
        "burner.input",
    ),
    # One that lights low is right at any size; of one that nobody looked at and whose size nobody knows both are asked.
    clear("low-fire-start", NO_INPUT),
    unjudged(
        "low-fire-start",
        {**NO_INPUT, BURNER + "starts_at_low_fire": REMOVED},
        "burner.starts_at_low_fire",
        "burner.input",
    ),
    fires("prepurge-before-start", {START + "prepurge": "0 s"}),
    fires("prepurge-before-start", {**fired("natural gas", "2.51"), START + "prepurge": "0 s"}),
    fires("prepurge-before-start", {**fired("heavy oil", "3.01"), START + "prepurge": "0 s"}),
    silent("prepurge-before-start", {**fired("natural gas", "2.5"), START + "prepurge": "0 s"}),
    silent("prepurge-before-start", {**fired("heavy oil", "3"), START + "prepurge": "0 s"}),
    clear("prepurge-before-start"),
    unjudged("prepurge-before-start", {START + "prepurge": REMOVED}, "burner.start.prepurge"),
    # Whether it is large enough to have to is not known; one that purges needs no size.
    unjudged("prepurge-before-start", {**NO_INPUT, START + "prepurge": "0 s"}, "burner.input"),
    clear("prepurge-before-start", {**NO_INPUT, START + "prepurge": "1 s"}),
)
