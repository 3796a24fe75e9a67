"""Cases of the rules on what is fitted."""

from tests.judgement.plants_for_rules import REMOVED
from tests.judgement.rule_cases import (
    CannotBe,
    Row,
    boundary,
    cannot_be,
    clear,
    fires,
    no_boundary,
    silent,
    unjudged,
)

FOUND = "boiler.as_found."
HIGH = "boiler.controls.high_limit"
OPERATING = "boiler.controls.operating_limit"
RATE = "boiler.controls.firing_rate"
HOLD = "boiler.controls.low_fire_hold"
NOBODY_MAY_ASSUME = "a limit that the survey does not list is none: nobody may assume that one is there"

ROWS: tuple[Row | CannotBe, ...] = (
    fires("high-limit-fitted", {HIGH: REMOVED}),
    clear("high-limit-fitted"),
    no_boundary("high-limit-fitted"),
    cannot_be("high-limit-fitted", "not judged", NOBODY_MAY_ASSUME),
    fires("operating-limit-fitted", {OPERATING: REMOVED}),
    clear("operating-limit-fitted"),
    no_boundary("operating-limit-fitted"),
    cannot_be("operating-limit-fitted", "not judged", NOBODY_MAY_ASSUME),
    fires("high-limit-manual-reset", {HIGH + ".reset": "automatic"}),
    clear("high-limit-manual-reset"),
    no_boundary("high-limit-manual-reset"),
    unjudged("high-limit-manual-reset", {HIGH + ".reset": REMOVED}, "controls.high_limit.reset"),
    unjudged("high-limit-manual-reset", {HIGH: REMOVED}, "controls.high_limit"),
    fires("high-limit-own-element", {HIGH + ".own_element": False}),
    clear("high-limit-own-element"),
    no_boundary("high-limit-own-element"),
    unjudged("high-limit-own-element", {HIGH + ".own_element": REMOVED}, "controls.high_limit.own_element"),
    fires("high-limit-senses-boiler", {HIGH + ".senses": "header"}),
    clear("high-limit-senses-boiler"),
    no_boundary("high-limit-senses-boiler"),
    unjudged("high-limit-senses-boiler", {HIGH + ".senses": REMOVED}, "controls.high_limit.senses"),
    fires(
        "low-pressure-high-limit-scale",
        {HIGH + ".scale.to": "20 psi"},
        observed="20 psi",
        limit="15 psi",
        base="low pressure",
    ),
    boundary("low-pressure-high-limit-scale", {HIGH + ".scale.to": "15 psi"}, "clear", base="low pressure"),
    clear("low-pressure-high-limit-scale", {HIGH + ".scale.to": "14 psi"}, base="low pressure"),
    unjudged(
        "low-pressure-high-limit-scale", {HIGH + ".scale": REMOVED}, "controls.high_limit.scale", base="low pressure"
    ),
    silent("low-pressure-high-limit-scale", {}, kind="clear"),
    fires("sensing-line-open", {HIGH + ".valve_in_line": True}),
    fires("sensing-line-open", {OPERATING + ".valve_in_line": True}),
    fires("sensing-line-open", {RATE + ".valve_in_line": True}),
    fires("sensing-line-open", {HOLD + ".valve_in_line": True}),
    clear("sensing-line-open"),
    clear("sensing-line-open", {HOLD: REMOVED, RATE: REMOVED}),
    no_boundary("sensing-line-open"),
    unjudged("sensing-line-open", {HOLD + ".valve_in_line": REMOVED}, "controls.low_fire_hold.valve_in_line"),
    unjudged("sensing-line-open", {HIGH: REMOVED}, "controls.high_limit"),
    fires("siphon-fitted", {HIGH + ".siphon": False}),
    fires("siphon-fitted", {RATE + ".siphon": False}),
    clear("siphon-fitted"),
    no_boundary("siphon-fitted"),
    unjudged("siphon-fitted", {OPERATING + ".siphon": REMOVED}, "controls.operating_limit.siphon"),
    fires("operating-limit-not-blind", {OPERATING + ".senses": "header", "boiler.non_return_valve": True}),
    clear("operating-limit-not-blind", {OPERATING + ".senses": "header", "boiler.non_return_valve": False}),
    clear("operating-limit-not-blind", {OPERATING + ".senses": REMOVED, "boiler.non_return_valve": False}),
    clear("operating-limit-not-blind", {OPERATING + ".senses": "boiler", "boiler.non_return_valve": True}),
    no_boundary("operating-limit-not-blind"),
    unjudged(
        "operating-limit-not-blind",
        {OPERATING + ".senses": "header", "boiler.non_return_valve": REMOVED},
        "non_return_valve",
    ),
    unjudged(
        "operating-limit-not-blind",
        {OPERATING + ".senses": REMOVED, "boiler.non_return_valve": True},
        "controls.operating_limit.senses",
    ),
    fires("nothing-bypassed", {FOUND + "jumpers": ["wire across the high limit"]}),
    clear("nothing-bypassed"),
    no_boundary("nothing-bypassed"),
    unjudged("nothing-bypassed", {FOUND + "jumpers": REMOVED}, "as_found.jumpers"),
    unjudged("nothing-bypassed", {"boiler.as_found": REMOVED}, "as_found.jumpers"),
    fires("high-limit-resets-explained", {FOUND + "unexplained_resets": 2}, observed="2", limit="1"),
    boundary("high-limit-resets-explained", {FOUND + "unexplained_resets": 1}, "clear"),
    clear("high-limit-resets-explained"),
    unjudged("high-limit-resets-explained", {FOUND + "unexplained_resets": REMOVED}, "as_found.unexplained_resets"),
    fires("firing-in-automatic", {FOUND + "switch": "manual"}, detail="manual"),
    fires("firing-in-automatic", {FOUND + "manual_cap": "60 %"}, observed="60 %", limit="100 %", detail="capped"),
    fires("firing-in-automatic", {FOUND + "manual_cap": "60 %", FOUND + "switch": REMOVED}, detail="capped"),
    boundary("firing-in-automatic", {FOUND + "manual_cap": "100 %"}, "clear"),
    clear("firing-in-automatic"),
    unjudged("firing-in-automatic", {FOUND + "switch": REMOVED}, "as_found.switch"),
    # A cap at the whole fire holds nothing down, and says nothing of the switch either.
    unjudged("firing-in-automatic", {FOUND + "switch": REMOVED, FOUND + "manual_cap": "100 %"}, "as_found.switch"),
    silent("firing-in-automatic", {FOUND + "switch": "manual"}, base="low pressure"),
)
