"""Cases of the rules on the pressure stack.

Every control is off by at most 2 psi (low pressure: 0.5), run-on is 1 psi from low fire and 4 psi from full fire
(0.3), the fall of a restart is 4 psi (1), and the valves at 150 psi lift at 145.5 at the earliest (15: at 13).
"""

from tests.judgement.plants_for_rules import REMOVED
from tests.judgement.rule_cases import CannotBe, Row, boundary, clear, fires, unjudged

FOUND = "boiler.as_found."
CONTROLS = "boiler.controls."

ROWS: tuple[Row | CannotBe, ...] = (
    # The cut-out at 125 stays below the trip.
    fires("cut-out-below-high-limit", {FOUND + "high_limit": "120 psi"}, observed="125 psi", limit="120 psi"),
    boundary("cut-out-below-high-limit", {FOUND + "high_limit": "125 psi"}, "finding"),
    clear("cut-out-below-high-limit", {FOUND + "high_limit": "126 psi"}, limit="126 psi"),
    unjudged("cut-out-below-high-limit", {FOUND + "high_limit": REMOVED}, "settings.high_limit"),
    # The trip at 135 stays at or below the MAWP.
    fires("high-limit-within-mawp", {"boiler.mawp": "134 psi"}, observed="135 psi", limit="134 psi"),
    boundary("high-limit-within-mawp", {"boiler.mawp": "135 psi"}, "clear"),
    clear("high-limit-within-mawp", {"boiler.mawp": "136 psi"}),
    unjudged("high-limit-within-mawp", {CONTROLS + "high_limit": REMOVED}, "controls.high_limit"),
    # The trip stays at or below 15.
    fires(
        "high-limit-within-low-pressure",
        {CONTROLS + "high_limit.scale.to": "30 psi", FOUND + "high_limit": "16 psi"},
        observed="16 psi",
        limit="15 psi",
        base="low pressure",
    ),
    boundary("high-limit-within-low-pressure", {FOUND + "high_limit": "15 psi"}, "clear", base="low pressure"),
    clear("high-limit-within-low-pressure", {FOUND + "high_limit": "14 psi"}, base="low pressure"),
    unjudged(
        "high-limit-within-low-pressure",
        {FOUND + "high_limit": REMOVED, FOUND + "proved": ["operating_limit"]},
        "settings.high_limit",
        base="low pressure",
    ),
    # The trip and 2 stay below 150.
    fires("high-limit-below-valve", {FOUND + "high_limit": "149 psi"}, observed="151 psi", limit="150 psi"),
    fires(
        "high-limit-below-valve",
        {FOUND + "high_limit": "150 psi", CONTROLS + "high_limit.tolerance": REMOVED},
        observed="150 psi",
        limit="150 psi",
    ),
    boundary("high-limit-below-valve", {FOUND + "high_limit": "148 psi"}, "finding"),
    clear("high-limit-below-valve", {FOUND + "high_limit": "147 psi"}),
    unjudged(
        "high-limit-below-valve",
        {CONTROLS + "high_limit.tolerance": REMOVED},
        "controls.high_limit.tolerance.dial",
    ),
    # The trip, 2 and 4 stay below 145.5.
    fires("high-limit-stops-before-valve", {FOUND + "high_limit": "140 psi"}, observed="146 psi", limit="145.5 psi"),
    boundary("high-limit-stops-before-valve", {FOUND + "high_limit": "139.5 psi"}, "finding"),
    clear("high-limit-stops-before-valve", {FOUND + "high_limit": "139 psi"}),
    clear(
        "high-limit-stops-before-valve",
        {FOUND + "high_limit": "139.5 psi", FOUND + "proved": ["high_limit"]},
        limit="145.5 psi",
    ),
    # A certificate takes the place of the set tolerance: 141 against 141.
    fires(
        "high-limit-stops-before-valve",
        {"boiler.safety_valve.1.tested_lift": "141 psi"},
        observed="141 psi",
        limit="141 psi",
    ),
    unjudged(
        "high-limit-stops-before-valve",
        {"boiler.measured.run_on": REMOVED, "boiler.water_volume": REMOVED},
        "water_volume",
    ),
    # Normal work reaches 125 + 2 + 1 = 128.
    fires("cut-out-within-downstream-rating", {"load.rated_max": "127 psi"}, observed="128 psi", limit="127 psi"),
    boundary("cut-out-within-downstream-rating", {"load.rated_max": "128 psi"}, "clear"),
    clear("cut-out-within-downstream-rating", {"load.rated_max": "129 psi"}),
    unjudged(
        "cut-out-within-downstream-rating",
        {CONTROLS + "operating_limit.tolerance": REMOVED},
        "controls.operating_limit.tolerance.dial",
    ),
    # 128 stays below the trip less 2.
    fires("cut-out-clear-of-high-limit", {FOUND + "high_limit": "129 psi"}, observed="128 psi", limit="127 psi"),
    boundary("cut-out-clear-of-high-limit", {FOUND + "high_limit": "130 psi"}, "finding"),
    clear("cut-out-clear-of-high-limit", {FOUND + "high_limit": "131 psi"}),
    unjudged("cut-out-clear-of-high-limit", {FOUND + "high_limit": REMOVED}, "settings.high_limit"),
    # 10 % of 150 is 15: cut-out + 3 <= 135; low pressure 5 psi: cut-out + 0.8 <= 10
    fires("working-pressure-below-valve", {FOUND + "operating_limit": "133 psi"}, observed="136 psi", limit="135 psi"),
    boundary("working-pressure-below-valve", {FOUND + "operating_limit": "132 psi"}, "clear"),
    clear("working-pressure-below-valve", {FOUND + "operating_limit": "131 psi"}),
    boundary(
        "working-pressure-below-valve",
        {FOUND + "operating_limit": "9.2 psi"},
        "clear",
        limit="10 psi",
        base="low pressure",
    ),
    # At least 7 psi: the valve at 60 leaves 53, where 10 % would leave 54.
    fires(
        "working-pressure-below-valve",
        {
            "boiler.safety_valve.0.set": "60 psi",
            "boiler.safety_valve.0.lift_tested_at": REMOVED,
            FOUND + "operating_limit": "50.5 psi",
            FOUND + "firing_rate": "30 psi",
        },
        observed="53.5 psi",
        limit="53 psi",
    ),
    unjudged(
        "working-pressure-below-valve",
        {FOUND + "operating_limit": REMOVED, FOUND + "operating_limit_differential": REMOVED},
        "settings.operating_limit",
    ),
    # 145.5 less a blowdown of 6 is 139.5: cut-out + 3 < 139.5
    fires(
        "working-pressure-below-reseat", {FOUND + "operating_limit": "137 psi"}, observed="140 psi", limit="139.5 psi"
    ),
    boundary("working-pressure-below-reseat", {FOUND + "operating_limit": "136.5 psi"}, "finding"),
    clear("working-pressure-below-reseat", {FOUND + "operating_limit": "136 psi"}),
    unjudged("working-pressure-below-reseat", {CONTROLS + "operating_limit": REMOVED}, "controls.operating_limit"),
    # Normal work reaches 128, the wish is at or above it.
    fires("cut-out-within-wish", {"load.wish": "127 psi"}, observed="128 psi", limit="127 psi"),
    boundary("cut-out-within-wish", {"load.wish": "128 psi"}, "clear"),
    clear("cut-out-within-wish", {"load.wish": "129 psi"}),
    unjudged("cut-out-within-wish", {CONTROLS + "operating_limit": REMOVED}, "controls.operating_limit"),
    # Low fire is 105 and the range; with 2 it stays below 125 less 2.
    fires(
        "low-fire-before-cut-out", {FOUND + "firing_rate_differential": "20 psi"}, observed="127 psi", limit="123 psi"
    ),
    boundary("low-fire-before-cut-out", {FOUND + "firing_rate_differential": "16 psi"}, "finding"),
    clear("low-fire-before-cut-out", {FOUND + "firing_rate_differential": "15 psi"}),
    unjudged(
        "low-fire-before-cut-out",
        {CONTROLS + "firing_rate.tolerance": REMOVED},
        "controls.firing_rate.tolerance.dial",
    ),
    # Full load stands at 105 less 2.
    fires("need-at-full-load", {"load.need": "104 psi"}, observed="103 psi", limit="104 psi"),
    boundary("need-at-full-load", {"load.need": "103 psi"}, "clear"),
    clear("need-at-full-load", {"load.need": "102 psi"}),
    unjudged("need-at-full-load", {"load.need": REMOVED}, "load.need"),
    # A restart falls to 115 less 2 less 4, which is 109.
    fires("restart-holds-need", {"load.need": "110 psi"}, observed="109 psi", limit="110 psi"),
    boundary("restart-holds-need", {"load.need": "109 psi"}, "clear"),
    clear("restart-holds-need", {"load.need": "108 psi"}),
    unjudged(
        "restart-holds-need",
        {CONTROLS + "operating_limit.differential_counts": REMOVED},
        "controls.operating_limit.differential_counts",
    ),
    # The hold and 2 stay below 109.
    fires("hold-below-restart", {FOUND + "low_fire_hold": "108 psi"}, observed="110 psi", limit="109 psi"),
    boundary("hold-below-restart", {FOUND + "low_fire_hold": "107 psi"}, "finding"),
    clear("hold-below-restart", {FOUND + "low_fire_hold": "106 psi"}),
    unjudged("hold-below-restart", {FOUND + "low_fire_hold": REMOVED}, "settings.low_fire_hold"),
    # The hold and 2 stay below 103.
    fires("hold-below-full-load", {FOUND + "low_fire_hold": "102 psi"}, observed="104 psi", limit="103 psi"),
    boundary("hold-below-full-load", {FOUND + "low_fire_hold": "101 psi"}, "finding"),
    clear("hold-below-full-load", {FOUND + "low_fire_hold": "100 psi"}),
    unjudged(
        "hold-below-full-load",
        {CONTROLS + "low_fire_hold.tolerance": REMOVED},
        "controls.low_fire_hold.tolerance.dial",
    ),
    # The cut-in at 115 is not below high fire.
    fires("cut-in-above-high-fire", {FOUND + "firing_rate": "116 psi"}, observed="115 psi", limit="116 psi"),
    boundary("cut-in-above-high-fire", {FOUND + "firing_rate": "115 psi"}, "clear"),
    clear("cut-in-above-high-fire", {FOUND + "firing_rate": "114 psi"}),
    unjudged(
        "cut-in-above-high-fire",
        {FOUND + "firing_rate": REMOVED, FOUND + "firing_rate_differential": REMOVED},
        "settings.firing_rate",
    ),
)
