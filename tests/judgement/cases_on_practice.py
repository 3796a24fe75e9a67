"""Cases of the practice numbers and of what holds while a boiler warms up."""

from tests.judgement.plants_for_rules import REMOVED, Edits
from tests.judgement.rule_cases import CannotBe, Row, boundary, cannot_be, clear, fires, no_boundary, silent, unjudged

FOUND = "boiler.as_found."
WITHOUT_HOLD: Edits = {"boiler.controls.low_fire_hold": REMOVED, FOUND + "low_fire_hold": REMOVED}
WITHOUT_LOW_HOLD: Edits = {**WITHOUT_HOLD, FOUND + "proved": ["high_limit", "operating_limit"]}
NO_NUMBER = "only the supplier has a number; without his schedule the warm-up is not judged"

ROWS: tuple[Row | CannotBe, ...] = (
    # High limit about 10 above cut-out at 125; half way to the valve at 150 would be 12.5, so 10 it is.
    fires("high-limit-gap-usual", {FOUND + "high_limit": "134 psi"}, observed="9 psi", limit="10 psi"),
    boundary("high-limit-gap-usual", {FOUND + "high_limit": "135 psi"}, "clear"),
    clear("high-limit-gap-usual", {FOUND + "high_limit": "136 psi"}),
    # No room: cut-out 135, half way to 150 is 7.5.
    fires(
        "high-limit-gap-usual",
        {FOUND + "operating_limit": "135 psi", FOUND + "high_limit": "142 psi"},
        observed="7 psi",
        limit="7.5 psi",
    ),
    boundary(
        "high-limit-gap-usual", {FOUND + "operating_limit": "135 psi", FOUND + "high_limit": "142.5 psi"}, "clear"
    ),
    fires(
        "high-limit-gap-usual",
        {FOUND + "high_limit": "9.75 psi"},
        observed="1.75 psi",
        limit="2 psi",
        base="low pressure",
    ),
    boundary("high-limit-gap-usual", {FOUND + "high_limit": "10 psi"}, "clear", base="low pressure"),
    unjudged("high-limit-gap-usual", {FOUND + "high_limit": REMOVED}, "settings.high_limit"),
    # 2 of the control and 4.5 of the valve are more than 5: 6.5.
    fires("valve-gap-usual", {FOUND + "high_limit": "144 psi"}, observed="6 psi", limit="6.5 psi"),
    fires(
        "valve-gap-usual",
        {FOUND + "high_limit": "146 psi", "boiler.controls.high_limit.tolerance": REMOVED},
        observed="4 psi",
        limit="5 psi",
    ),
    boundary("valve-gap-usual", {FOUND + "high_limit": "143.5 psi"}, "clear"),
    clear("valve-gap-usual", {FOUND + "high_limit": "143 psi"}),
    # Low pressure: 0.5 and 2 are less than 3.
    fires(
        "valve-gap-usual", {FOUND + "high_limit": "12.25 psi"}, observed="2.75 psi", limit="3 psi", base="low pressure"
    ),
    boundary("valve-gap-usual", {FOUND + "high_limit": "12 psi"}, "clear", base="low pressure"),
    unjudged(
        "valve-gap-usual",
        {"boiler.controls.high_limit.tolerance": REMOVED},
        "controls.high_limit.tolerance.dial",
    ),
    # Low fire until it steams: no number for a fire tube. Common practice, no source.
    fires("low-fire-hold-fitted", WITHOUT_HOLD, detail=""),
    # Two fires are more than one: it goes to high fire as soon as it may.
    fires("low-fire-hold-fitted", {**WITHOUT_HOLD, "boiler.burner.0.firing": "low-high-off"}, detail=""),
    # Low pressure 2 to 3 psi, common practice.
    fires(
        "low-fire-hold-fitted",
        {**WITHOUT_LOW_HOLD, "boiler.burner.0.firing": "modulating", "boiler.burner.0.turndown": 4},
        limit="2 psi",
        base="low pressure",
        detail="to a pressure",
    ),
    # Water tubes generally 100 psi, common practice; one that works at 90 psi is kept low until it works.
    fires("low-fire-hold-fitted", WITHOUT_HOLD, limit="100 psi", base="water tube", detail="to a pressure"),
    fires(
        "low-fire-hold-fitted",
        {**WITHOUT_HOLD, FOUND + "firing_rate": "90 psi"},
        limit="90 psi",
        base="water tube",
        detail="to a pressure",
    ),
    clear("low-fire-hold-fitted"),
    clear("low-fire-hold-fitted", {FOUND + "low_fire_hold": REMOVED}),
    no_boundary("low-fire-hold-fitted"),
    # A burner that only goes on and off has no low fire, and of a coil no practice is known.
    silent("low-fire-hold-fitted", WITHOUT_LOW_HOLD, kind="clear", base="low pressure"),
    silent("low-fire-hold-fitted", {**WITHOUT_HOLD, "boiler.kind": "coil"}, kind="firing"),
    unjudged("low-fire-hold-fitted", {**WITHOUT_HOLD, "boiler.burner": []}, "burner"),
    fires(
        "hold-usual-low-pressure",
        {FOUND + "low_fire_hold": "3.25 psi"},
        observed="3.25 psi",
        limit="3 psi",
        base="low pressure",
        detail="high",
    ),
    fires(
        "hold-usual-low-pressure",
        {FOUND + "low_fire_hold": "1.75 psi"},
        observed="1.75 psi",
        limit="2 psi",
        base="low pressure",
        detail="low",
    ),
    boundary("hold-usual-low-pressure", {FOUND + "low_fire_hold": "3 psi"}, "clear", base="low pressure"),
    boundary("hold-usual-low-pressure", {FOUND + "low_fire_hold": "2 psi"}, "clear", base="low pressure"),
    clear("hold-usual-low-pressure", base="low pressure"),
    silent(
        "hold-usual-low-pressure",
        {
            "boiler.controls.low_fire_hold": REMOVED,
            FOUND + "low_fire_hold": REMOVED,
            FOUND + "proved": ["high_limit", "operating_limit"],
        },
        kind="clear",
        base="low pressure",
    ),
    unjudged(
        "hold-usual-low-pressure",
        {FOUND + "low_fire_hold": REMOVED, FOUND + "proved": ["high_limit", "operating_limit"]},
        "settings.low_fire_hold",
        base="low pressure",
    ),
    fires(
        "hold-usual-watertube",
        {FOUND + "low_fire_hold": "99 psi"},
        observed="99 psi",
        limit="100 psi",
        base="water tube",
    ),
    boundary("hold-usual-watertube", {FOUND + "low_fire_hold": "100 psi"}, "clear", base="water tube"),
    clear("hold-usual-watertube", {FOUND + "low_fire_hold": "101 psi"}, base="water tube"),
    # Where work goes on at 100 psi or less there is no room for such a hold.
    silent(
        "hold-usual-watertube",
        {FOUND + "firing_rate": "100 psi", FOUND + "low_fire_hold": "60 psi"},
        kind="firing",
        base="water tube",
    ),
    silent("hold-usual-watertube", {}, kind="clear"),
    unjudged("hold-usual-watertube", {FOUND + "low_fire_hold": REMOVED}, "settings.low_fire_hold", base="water tube"),
    fires(
        "warm-up-rate",
        {"boiler.measured.warm_up_rate": "101 F/h"},
        observed="101 F/h",
        limit="100 F/h",
        base="water tube",
    ),
    boundary("warm-up-rate", {"boiler.measured.warm_up_rate": "100 F/h"}, "clear", base="water tube"),
    clear("warm-up-rate", {"boiler.measured.warm_up_rate": "99 F/h"}, base="water tube"),
    silent("warm-up-rate", {"boiler.measured.warm_up_rate": "200 F/h"}, kind="firing"),
    unjudged("warm-up-rate", {"boiler.measured.warm_up_rate": REMOVED}, "measured.warm_up_rate", base="water tube"),
    cannot_be("refractory-schedule", "firing", NO_NUMBER),
    cannot_be("refractory-schedule", "boundary", NO_NUMBER),
    clear("refractory-schedule"),
    clear(
        "refractory-schedule",
        {"boiler.new_refractory": True, "boiler.refractory_schedule": "12 h at low fire, 8 h rest"},
    ),
    unjudged("refractory-schedule", {"boiler.new_refractory": True}, "refractory_schedule"),
    unjudged("refractory-schedule", {"boiler.new_refractory": REMOVED}, "new_refractory"),
)
