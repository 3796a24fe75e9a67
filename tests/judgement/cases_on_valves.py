"""Cases of the rules on the safety valves, and on boilers that share a header."""

from tests.judgement.plants_for_rules import REMOVED, Edits, valve
from tests.judgement.rule_cases import CannotBe, Row, boundary, cannot_be, clear, fires, no_boundary, silent, unjudged

FRONT = "boiler.safety_valve.0."
REAR = "boiler.safety_valve.1."
ONE_VALVE: Edits = {"boiler.safety_valve": [valve("front")]}
ALWAYS_SET = "a valve without a set pressure is refused when the plant file is read"


def capacities(each: str) -> Edits:
    return {FRONT + "capacity": each, REAR + "capacity": each}


def small_boiler(rear: str) -> Edits:
    """Up to 66.7 psi a valve passes its capacity 2 psi above its set pressure; both are needed whole (6900 lb/h)."""
    return {"boiler.mawp": "50 psi", FRONT + "set": "50 psi", REAR + "set": rear, **capacities("3450 lb/h")}


def electric(power: str) -> Edits:
    return {
        "boiler.heating_surface": REMOVED,
        "boiler.electric_input": power,
        "boiler.burner": [],
    }


def makes(output: str) -> Edits:
    """An output that no input of the burner exceeds."""
    return {
        "boiler.output": output,
        "boiler.burner.0.input": "4 MMBtu/h",
        "boiler.burner.0.input_clocked": "4 MMBtu/h",
    }


def with_orifice(stamped: str) -> Edits:
    """A square inch with K = 1 at 150 psi: 8713.8 lb/h (NBCC)."""
    return {FRONT + "capacity": stamped, FRONT + "orifice_area": "1 in2", FRONT + "coefficient": 1.0}


UNKNOWN_HEAT: Edits = {
    "boiler.output": REMOVED,
    "boiler.burner.0.input": REMOVED,
    "boiler.burner.0.input_clocked": REMOVED,
}

ROWS: tuple[Row | CannotBe, ...] = (
    fires("safety-valve-fitted", {"boiler.safety_valve": []}),
    clear("safety-valve-fitted"),
    no_boundary("safety-valve-fitted"),
    cannot_be("safety-valve-fitted", "not judged", "a valve that the survey does not list is none"),
    fires("first-valve-within-mawp", {"boiler.mawp": "149 psi"}, observed="150 psi", limit="149 psi"),
    boundary("first-valve-within-mawp", {}, "clear", observed="150 psi", limit="150 psi"),
    clear("first-valve-within-mawp", {"boiler.mawp": "151 psi"}),
    clear("first-valve-within-mawp", {FRONT + "set": "154 psi"}),
    unjudged("first-valve-within-mawp", {"boiler.safety_valve": []}, "safety_valve.set"),
    fires("other-valves-near-mawp", {FRONT + "set": "155 psi"}, observed="155 psi", limit="154.5 psi"),
    boundary("other-valves-near-mawp", {REAR + "set": "154.5 psi"}, "clear"),
    clear("other-valves-near-mawp", {REAR + "set": "154 psi"}),
    silent("other-valves-near-mawp", ONE_VALVE, kind="clear"),
    cannot_be("other-valves-near-mawp", "not judged", ALWAYS_SET),
    fires("valve-settings-close", {FRONT + "set": "134 psi"}, observed="16 psi", limit="15 psi"),
    boundary("valve-settings-close", {FRONT + "set": "135 psi"}, "clear"),
    clear("valve-settings-close", {FRONT + "set": "136 psi"}),
    silent("valve-settings-close", ONE_VALVE, kind="clear"),
    cannot_be("valve-settings-close", "not judged", ALWAYS_SET),
    # A low-pressure valve is certified by another formula.
    silent(
        "stamped-capacity-plausible",
        {FRONT + "orifice_area": "0.01 in2", FRONT + "coefficient": 0.9},
        kind="firing",
        base="low pressure",
    ),
    fires("second-valve", ONE_VALVE, observed="1000 ft2", limit="500 ft2"),
    fires(
        "second-valve",
        {**ONE_VALVE, **electric("1200 kW")},
        observed="1200 kW",
        limit="1100 kW",
    ),
    # 34.5 lb/h for each bhp: 115.9 bhp make 3998.6 lb/h, and newer code may let one valve serve; 116 make 4002.
    fires("second-valve", {**ONE_VALVE, **makes("115.9 bhp")}, detail="small"),
    fires("second-valve", {**ONE_VALVE, **makes("116 bhp")}, detail=""),
    # Small by its electric input and large by its surface: large.
    fires("second-valve", {**ONE_VALVE, **electric("900 kW"), "boiler.heating_surface": "1000 ft2"}, limit="500 ft2"),
    fires("second-valve", {**ONE_VALVE, **UNKNOWN_HEAT}, detail=""),
    boundary("second-valve", {**ONE_VALVE, "boiler.heating_surface": "500 ft2"}, "clear"),
    boundary(
        "second-valve",
        {**ONE_VALVE, **electric("1100 kW")},
        "clear",
    ),
    clear("second-valve"),
    clear("second-valve", {"boiler.heating_surface": REMOVED}),
    unjudged("second-valve", {**ONE_VALVE, "boiler.heating_surface": REMOVED}, "heating_surface"),
    fires("relieving-capacity", capacities("3400 lb/h"), observed="6800 lb/h", limit="6900 lb/h"),
    fires("relieving-capacity", {"boiler.safety_valve": []}, observed="0 lb/h", limit="6900 lb/h"),
    # Clocked at 9 MMBtu/h x 80 % it makes 7.2e6 x 34.5 / 33475 = 7420.5 lb/h.
    fires(
        "relieving-capacity",
        {**capacities("3500 lb/h"), "boiler.burner.0.input_clocked": "9 MMBtu/h"},
        observed="7000 lb/h",
        limit="7420.46 lb/h",
    ),
    # With nobody's efficiency the output grows as the input: 6900 x 9 / 8.3 = 7481.9 lb/h.
    fires(
        "relieving-capacity",
        {
            **capacities("3500 lb/h"),
            "boiler.burner.0.input_clocked": "9 MMBtu/h",
            "boiler.burner.0.efficiency": REMOVED,
        },
        limit="7481.93 lb/h",
    ),
    # Feedwater at 300 F (269.7 Btu/lb, and 1196 in the steam: from memory) makes 6695000 / 926 = 7230 lb/h.
    fires("relieving-capacity", {**capacities("3550 lb/h"), "boiler.feedwater_temperature": "300 F"}),
    clear("relieving-capacity", {**capacities("3550 lb/h"), "boiler.feedwater_temperature": "200 F"}),
    fires(
        "relieving-capacity",
        {"boiler.safety_valve.0.capacity": "999 lb/h"},
        observed="999 lb/h",
        limit="1000 lb/h",
        base="low pressure",
    ),
    boundary("relieving-capacity", capacities("3450 lb/h"), "clear", limit="6900 lb/h"),
    boundary("relieving-capacity", {"boiler.safety_valve.0.capacity": "1000 lb/h"}, "clear", base="low pressure"),
    clear("relieving-capacity", capacities("3500 lb/h")),
    unjudged("relieving-capacity", {REAR + "capacity": REMOVED}, "safety_valve.capacity"),
    unjudged(
        "relieving-capacity",
        {"boiler.output": REMOVED, "boiler.burner.0.efficiency": REMOVED},
        "output",
        "burner.input",
        "burner.efficiency",
    ),
    fires("valve-accumulation", small_boiler("51.1 psi"), observed="53.1 psi", limit="53 psi"),
    # 150 x 1.03 = 154.5 carries 4500 lb/h; the other 2400 of 4500 take 0.5333 of the 3 % of 157.
    fires("valve-accumulation", {REAR + "set": "157 psi"}, observed="159.512 psi", limit="159 psi"),
    fires("valve-accumulation", capacities("3400 lb/h"), detail="never"),
    # 1.06 x 141 = 149.46: no valve has opened, whatever it can pass.
    fires(
        "valve-accumulation",
        {"boiler.mawp": "141 psi", FRONT + "capacity": REMOVED},
        observed="150 psi",
        limit="149.46 psi",
        detail="shut",
    ),
    boundary("valve-accumulation", small_boiler("51 psi"), "clear", observed="53 psi", limit="53 psi"),
    # 15 + 5 against 15 + 5.
    boundary(
        "valve-accumulation",
        {"boiler.safety_valve.0.capacity": "1000 lb/h"},
        "clear",
        observed="20 psi",
        limit="20 psi",
        base="low pressure",
    ),
    clear("valve-accumulation", small_boiler("50.9 psi")),
    # The rear valve opens above 159 psi, and the front one alone passes the 6900 lb/h below 154.5.
    clear("valve-accumulation", {FRONT + "capacity": "8000 lb/h", REAR + "set": "165 psi"}, limit="159 psi"),
    unjudged("valve-accumulation", {REAR + "capacity": REMOVED}, "safety_valve.capacity"),
    unjudged("valve-accumulation", {"boiler.safety_valve": []}, "safety_valve.set"),
    fires("stamped-capacity-plausible", with_orifice("8900 lb/h"), observed="8900 lb/h", limit="8800.94 lb/h"),
    boundary("stamped-capacity-plausible", with_orifice("8713.8 lb/h"), "clear"),
    clear("stamped-capacity-plausible", with_orifice("8000 lb/h")),
    silent(
        "stamped-capacity-plausible",
        {
            FRONT + "orifice_area": REMOVED,
            FRONT + "coefficient": REMOVED,
            REAR + "orifice_area": REMOVED,
            REAR + "coefficient": REMOVED,
        },
        kind="not judged",
    ),
    unjudged("stamped-capacity-plausible", {REAR + "coefficient": REMOVED}, "safety_valve.coefficient"),
    fires("valve-lift-test-pressure", {FRONT + "lift_tested_at": "112 psi"}, observed="112 psi", limit="112.5 psi"),
    boundary("valve-lift-test-pressure", {FRONT + "lift_tested_at": "112.5 psi"}, "clear"),
    clear("valve-lift-test-pressure", {FRONT + "lift_tested_at": "113 psi"}),
    unjudged("valve-lift-test-pressure", {FRONT + "lift_tested_at": REMOVED}, "safety_valve.lift_tested_at"),
    # 6900 of its own and 3450 of the stronger boiler.
    fires(
        "shared-header-relief",
        capacities("5000 lb/h"),
        observed="10000 lb/h",
        limit="10350 lb/h",
        base="two boilers",
    ),
    boundary("shared-header-relief", capacities("5175 lb/h"), "clear", base="two boilers"),
    clear("shared-header-relief", base="two boilers"),
    clear("shared-header-relief", {**capacities("5000 lb/h"), "site.boilers_share_header": False}, base="two boilers"),
    clear("shared-header-relief", {**capacities("5000 lb/h"), "boiler.mawp": "200 psi"}, base="two boilers"),
    silent("shared-header-relief", {}, kind="clear"),
    unjudged(
        "shared-header-relief",
        {"site.boilers_share_header": REMOVED},
        "site.boilers_share_header",
        base="two boilers",
    ),
)
