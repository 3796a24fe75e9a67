"""A dial that cures a stop by a little is not left there where a warning wants more of it."""

from functools import partial
from pathlib import Path

from evenfire.delivery.units import UnitSystem, show
from evenfire.delivery.words.remedies import also_told
from evenfire.judgement.outcome import Basis, Finding, Part, Remedy, Severity, Subject
from evenfire.plant.controls import Role
from evenfire.si import PA_PER_PSI, DiffPa
from tests.delivery.cli.test_commands import as_one_line, changed, evenfire

US = partial(show, system=UnitSystem.US)
STOP, WARN = "high-limit-below-valve", "high-limit-stops-before-valve"


def finding(code: str, severity: Severity, change: float, role: Role = Role.HIGH_LIMIT) -> Finding:
    return Finding(
        code=code,
        severity=severity,
        basis=Basis.DERIVED,
        subject=Subject(Part.HIGH_LIMIT),
        remedies=(Remedy(role, "main", DiffPa(change * PA_PER_PSI)),),
    )


def told(severity: Severity, change: float, role: Role = Role.HIGH_LIMIT) -> str:
    stop = finding(STOP, Severity.STOP, -0.5)
    return also_told(stop, [stop, finding(WARN, severity, change, role)], US)


def test_the_larger_turn_of_the_same_dial_is_told_under_the_stop() -> None:
    assert told(Severity.WARN, -3.9).endswith("as well, lower the high-limit set point by at least 3.9 psi.")
    assert told(Severity.WARN, -3.9).count("psi") == 1


def test_a_smaller_turn_another_way_another_dial_or_mere_practice_adds_nothing() -> None:
    assert told(Severity.WARN, -0.5) == ""
    assert told(Severity.WARN, 3.9) == ""
    assert told(Severity.WARN, -3.9, Role.OPERATING_LIMIT) == ""
    assert told(Severity.ADVISE, -3.9) == ""
    warn = finding(WARN, Severity.WARN, -1.0)
    assert also_told(warn, [finding(WARN, Severity.WARN, -3.9)], US) == ""


def test_a_check_tells_both_amounts_in_one_place(tmp_path: Path) -> None:
    # By hand: 149 - 0.22 (half a foot of leg) + 2 (tolerance) is 150.8 against a valve at 150: 0.8 psi and more. With
    # 3 % for the valve, 145.5, and a run-on it is more than 150.8 - 145.5 = 5.3 psi.
    file = changed(tmp_path, "boiler", 0, "as_found", "high_limit", "149 psi")
    text = as_one_line(evenfire("check", file).output)
    stop = text[text.index("STOP") : text.index("basis")]
    assert "Lower the high-limit set point by at least 0.79 psi" in stop
    also = stop[stop.index("To clear") :]
    assert float(also.split("by at least ")[1].split(" psi")[0]) > 5.3
