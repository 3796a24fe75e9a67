"""Cases of the rules on gauge, scales and sensing lines."""

from datetime import date

from tests.judgement.plants_for_rules import REMOVED, Table
from tests.judgement.rule_cases import CannotBe, Row, boundary, clear, fires, silent, unjudged

GAUGE = "boiler.gauge."
FOUND = "boiler.as_found."
HIGH = "boiler.controls.high_limit."
OPERATING = "boiler.controls.operating_limit."
RATE = "boiler.controls.firing_rate."
HOLD = "boiler.controls.low_fire_hold."


def leg(height: str, position: str, filling: str) -> Table:
    return {"height": height, "position": position, "filling": filling}


ROWS: tuple[Row | CannotBe, ...] = (
    # 1.5 x 150 = 225
    fires("gauge-range", {GAUGE + "to": "200 psi"}, observed="200 psi", limit="225 psi"),
    boundary("gauge-range", {GAUGE + "to": "225 psi"}, "clear"),
    clear("gauge-range", {GAUGE + "to": "230 psi"}),
    unjudged("gauge-range", {GAUGE + "to": REMOVED}, "gauge.to"),
    unjudged("gauge-range", {"boiler.safety_valve": []}, "safety_valve.set"),
    fires("gauge-range-usual", {GAUGE + "to": "290 psi"}, observed="290 psi", limit="300 psi"),
    boundary("gauge-range-usual", {GAUGE + "to": "300 psi"}, "clear"),
    clear("gauge-range-usual", {GAUGE + "to": "310 psi"}),
    silent("gauge-range-usual", {GAUGE + "to": "200 psi"}, kind="firing"),
    unjudged("gauge-range-usual", {GAUGE + "to": REMOVED}, "gauge.to"),
    fires("heating-gauge-range", {GAUGE + "to": "25 psi"}, observed="25 psi", limit="30 psi", base="low pressure"),
    boundary("heating-gauge-range", {GAUGE + "to": "30 psi"}, "clear", base="low pressure"),
    clear("heating-gauge-range", {GAUGE + "to": "60 psi"}, base="low pressure"),
    unjudged("heating-gauge-range", {GAUGE + "to": REMOVED}, "gauge.to", base="low pressure"),
    fires(
        "heating-gauge-division", {GAUGE + "division": "2 psi"}, observed="2 psi", limit="1 psi", base="low pressure"
    ),
    boundary("heating-gauge-division", {GAUGE + "division": "1 psi"}, "clear", base="low pressure"),
    clear("heating-gauge-division", {GAUGE + "division": "0.5 psi"}, base="low pressure"),
    unjudged("heating-gauge-division", {GAUGE + "division": REMOVED}, "gauge.division", base="low pressure"),
    # Read on 3 November 2026.
    fires("gauge-calibration", {GAUGE + "calibrated": date(2025, 11, 2)}),
    boundary("gauge-calibration", {GAUGE + "calibrated": date(2025, 11, 3)}, "clear", limit="12"),
    clear("gauge-calibration", {GAUGE + "calibrated": date(2025, 11, 4)}),
    clear("gauge-calibration", {GAUGE + "calibrated": date(2026, 11, 3)}),
    unjudged("gauge-calibration", {GAUGE + "calibrated": REMOVED}, "gauge.calibrated"),
    unjudged("gauge-calibration", {GAUGE + "calibrated": date(2026, 11, 4)}, "gauge.calibrated"),
    unjudged("gauge-calibration", {FOUND + "read_on": REMOVED}, "settings.read_on"),
    # 0.433 psi for each foot: 2 ft are 0.866 psi.
    fires(
        "water-leg",
        {HIGH + "water_leg": leg("2 ft", "above", "full")},
        observed="0.866 psi",
        detail="control-above",
    ),
    fires(
        "water-leg",
        {OPERATING + "water_leg": leg("2 ft", "below", "unsure")},
        observed="0.866 psi",
        detail="control-unsure",
    ),
    fires("water-leg", {GAUGE + "water_leg": leg("2 ft", "above", "full")}, detail="gauge-above"),
    fires("water-leg", {GAUGE + "water_leg": leg("2 ft", "below", "unsure")}, detail="gauge-unsure"),
    boundary("water-leg", {HIGH + "water_leg": leg("0 ft", "above", "full")}, "clear"),
    clear("water-leg", {HIGH + "water_leg": leg("2 ft", "below", "full")}),
    clear("water-leg", {GAUGE + "water_leg": leg("2 ft", "below", "full")}),
    unjudged("water-leg", {HIGH + "water_leg": REMOVED}, "controls.high_limit.water_leg"),
    unjudged("water-leg", {GAUGE + "water_leg": REMOVED}, "gauge.water_leg"),
    # 10 to 150: the middle 80 % runs from 24 to 136.
    fires("setting-within-scale", {FOUND + "operating_limit": "137 psi"}, observed="137 psi", limit="136 psi"),
    fires(
        "setting-within-scale",
        {FOUND + "low_fire_hold": "23 psi"},
        observed="23 psi",
        limit="24 psi",
        detail="low",
    ),
    boundary("setting-within-scale", {FOUND + "operating_limit": "136 psi"}, "clear"),
    boundary("setting-within-scale", {FOUND + "low_fire_hold": "24 psi"}, "clear"),
    # 125 psi on a scale from 10 to 150 lies nearer to the upper end: the room is told from there.
    clear("setting-within-scale", limit="136 psi"),
    # A controller that is set by numbers has no dial to lie on.
    *(
        clear("setting-within-scale", {RATE + "action": action, RATE + "scale": REMOVED})
        for action in ("pid", "master")
    ),
    unjudged("setting-within-scale", {OPERATING + "scale": REMOVED}, "controls.operating_limit.scale"),
    unjudged("setting-within-scale", {FOUND + "high_limit": REMOVED}, "settings.high_limit"),
    # A boiler without its operating limit is not clear of the question where that stands.
    unjudged(
        "setting-within-scale",
        {
            OPERATING.removesuffix("."): REMOVED,
            FOUND + "operating_limit": REMOVED,
            FOUND + "operating_limit_differential": REMOVED,
        },
        "controls.operating_limit",
    ),
    # The valve at 150 psi passes its capacity at 154.5.
    fires("sensing-element-rating", {HIGH + "element_rating": "150 psi"}, observed="150 psi", limit="154.5 psi"),
    boundary("sensing-element-rating", {HIGH + "element_rating": "154.5 psi"}, "clear"),
    clear("sensing-element-rating", {HIGH + "element_rating": "155 psi"}),
    unjudged("sensing-element-rating", {HIGH + "element_rating": REMOVED}, "controls.high_limit.element_rating"),
    fires(
        "scale-fits-boiler",
        {HOLD + "scale.to": "14 psi", FOUND + "low_fire_hold": "12 psi"},
        observed="14 psi",
        limit="15 psi",
    ),
    boundary("scale-fits-boiler", {HOLD + "scale.to": "15 psi", FOUND + "low_fire_hold": "12 psi"}, "finding"),
    clear("scale-fits-boiler", {HOLD + "scale.to": "16 psi", FOUND + "low_fire_hold": "12 psi"}),
    silent("scale-fits-boiler", {}, kind="clear", base="low pressure"),
    unjudged("scale-fits-boiler", {HOLD + "scale": REMOVED}, "controls.low_fire_hold.scale"),
)
