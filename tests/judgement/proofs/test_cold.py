"""A cold start: what is known of how fast it may warm, low fire alone, the minutes of a schedule, the trap."""

import pytest

from evenfire.judgement.case import Case
from evenfire.judgement.outcome import Basis
from evenfire.judgement.proofs.proving import prove
from evenfire.judgement.proofs.result import (
    Check,
    Found,
    NotApplicable,
    Proof,
    Scenario,
    Verdict,
    Watched,
    concluded,
)
from evenfire.judgement.proofs.staging import TRUE, stages_of
from evenfire.judgement.proofs.warming import allowed_warming
from evenfire.judgement.proofs.weighing import is_unsafe, worst_first
from evenfire.physics.motion.happenings import Happening
from evenfire.physics.motion.run import Phase
from evenfire.physics.schedule import FireByTheClock
from evenfire.plant.boiler import Kind
from evenfire.plant.known import Missing
from evenfire.si import K_PER_F_DEGREE, PA_PER_PSI, Dimension, Quantity
from tests.judgement.proofs.cases import as_found, check_of, failures, proof_of, proposed
from tests.surveys import case_of, survey

F_PER_HOUR = K_PER_F_DEGREE / 3600.0


def found(proof: Proof, wanted: Found) -> list[float]:
    return [fact.value.value for fact in proof.facts if fact.found is wanted]


@pytest.mark.parametrize("settings", [as_found, proposed], ids=["as found", "proposed"])
def test_a_drum_that_warms_too_fast_for_what_memory_says_warns_and_neither_holds_nor_fails(settings: object) -> None:
    # 100 F/h for a drum, from memory: no setting of a dial keeps to it, and nobody's rule is broken.
    assert callable(settings)
    proof = proof_of(settings("board-mill"), Scenario.COLD_START)
    assert proof.verdict is Verdict.WARNS
    check = check_of(proof, Watched.WARMS_SLOWLY)
    assert not check.holds
    assert check.basis is Basis.FROM_MEMORY
    assert check.limit.value / F_PER_HOUR == pytest.approx(100)
    assert not is_unsafe(proof)
    assert Watched.HOLD_LETS_GO not in failures(proof)


def of(watched: Watched, basis: Basis, *, holds: bool) -> Check:
    nothing = Quantity(0.0, Dimension.NUMBER)
    return Check(watched=watched, observed=nothing, limit=nothing, margin=nothing, holds=holds, basis=basis)


@pytest.mark.parametrize(
    ("checks", "verdict"),
    [
        ([], Verdict.TOLD),
        ([of(Watched.WARMS_SLOWLY, Basis.FROM_MEMORY, holds=True)], Verdict.HOLDS),
        ([of(Watched.WARMS_SLOWLY, Basis.FROM_MEMORY, holds=False)], Verdict.WARNS),
        ([of(Watched.WARMS_SLOWLY, Basis.COMMON_PRACTICE, holds=False)], Verdict.WARNS),
        ([of(Watched.WARMS_SLOWLY, Basis.PUBLISHED, holds=False)], Verdict.FAILS),
        ([of(Watched.NEED, Basis.DERIVED, holds=False)], Verdict.FAILS),
        (
            [
                of(Watched.WARMS_SLOWLY, Basis.FROM_MEMORY, holds=False),
                of(Watched.HOLD_LETS_GO, Basis.DERIVED, holds=False),
            ],
            Verdict.FAILS,
        ),
    ],
)
def test_what_practice_or_memory_says_alone_never_fails_a_proof(checks: list[Check], verdict: Verdict) -> None:
    assert concluded(Scenario.COLD_START, checks).verdict is verdict


def test_a_warning_is_told_after_what_fails_and_before_what_holds() -> None:
    told, holds, warns, fails = (
        concluded(Scenario.DAY, checks)
        for checks in (
            [],
            [of(Watched.NEED, Basis.DERIVED, holds=True)],
            [of(Watched.WARMS_SLOWLY, Basis.FROM_MEMORY, holds=False)],
            [of(Watched.NEED, Basis.DERIVED, holds=False)],
        )
    )
    assert worst_first((told, holds, warns, fails)) == (fails, warns, holds, told)


@pytest.mark.parametrize(
    ("kind", "rate", "basis"),
    [
        # Drum: 100 F/h from memory; the others have a practice without a number, a coil not even that.
        (Kind.WATERTUBE, 100, Basis.FROM_MEMORY),
        (Kind.FIRETUBE, None, Basis.COMMON_PRACTICE),
        (Kind.VERTICAL, None, Basis.COMMON_PRACTICE),
        (Kind.CAST_IRON, None, Basis.COMMON_PRACTICE),
        (Kind.COIL, None, None),
    ],
    ids=lambda value: getattr(value, "name", str(value)),
)
def test_what_is_known_of_each_kind_says_from_where(kind: Kind, rate: float | None, basis: Basis | None) -> None:
    case = case_of(survey({"boiler.kind": kind.value}))
    allowed = allowed_warming(case.boiler)
    assert allowed.basis is basis
    assert allowed.rate == (None if rate is None else pytest.approx(rate * F_PER_HOUR))
    proof = proof_of(case, Scenario.COLD_START)
    assert any(check.watched is Watched.WARMS_SLOWLY for check in proof.checks) is (rate is not None)


@pytest.mark.parametrize("plant", ["laundry", "rental-trailer-depot"])
def test_low_fire_warms_water_and_steel_as_its_heat_says(plant: str) -> None:
    # By hand: water has 4.19 kJ/(kg K) and steel 0.115 Btu/(lb F) = 0.4815; below boiling nothing leaves but a standing
    # loss that is small at first. The fastest ten minutes at low fire cannot be faster than that, and while water
    # warms to 150 psi its specific heat rises by 3 % and its loss takes a few percent of low fire.
    case = as_found(plant)
    (stage,) = stages_of(case, TRUE)
    boiler = case.boiler
    assert boiler.water_volume is not None
    assert boiler.metal_mass is not None
    heat = float(stage.model.burner.full_heat) * float(stage.model.burner.lowest)
    rate = heat / (boiler.water_volume * 998.2 * 4190 + boiler.metal_mass.value * 481.5)
    (told,) = found(proof_of(case, Scenario.COLD_START), Found.LOW_FIRE_WARMING)
    assert 0.95 * rate < told < 1.005 * rate


def test_the_schedule_is_made_of_low_fire_and_not_of_what_follows_when_the_hold_lets_go() -> None:
    # Once let go the board mill's burner goes to full fire, six times low fire, until the drum stands in its band.
    proof = proof_of(as_found("board-mill"), Scenario.COLD_START)
    lows, fastest = found(proof, Found.LOW_FIRE_WARMING), found(proof, Found.FASTEST_WARMING)
    for schedule, low, fast in zip(proof.schedules, lows, fastest, strict=True):
        assert fast > 2 * low
        for firing in schedule.firings:
            assert isinstance(firing, FireByTheClock)
            # At one moment it may be a little faster than over ten minutes.
            assert firing.span.low_fire_rate < 1.05 * low
            cycle = 60.0 * (firing.minutes_on + firing.minutes_off)
            average = firing.span.low_fire_rate * (60.0 * firing.minutes_on - _start(proof, schedule.name)) / cycle
            assert average <= 100 * F_PER_HOUR * (1 + 1e-9)
        # It reaches from the cold room to the pressure at which the burner is called: 207 psi, 390 F by steam tables.
        assert schedule.firings[-1].span.to_temperature / K_PER_F_DEGREE - 459.67 == pytest.approx(390, abs=1.5)


def _start(proof: Proof, fuel: str) -> float:
    """From switching on to a flame at low fire [s], as the run had it."""
    run = next(shown.run for shown in proof.runs if shown.name == fuel)
    begins = [event for event in run.events if event.kind is Happening.PHASE_BEGAN]
    called, low = (
        next(event.time for event in begins if event.subject == phase) for phase in (Phase.DELAY, Phase.LOW_FIRE)
    )
    return low - called


@pytest.mark.parametrize("plant", ["laundry", "rental-trailer-brewery"])
def test_the_trap_is_told_as_how_far_the_deepest_dip_stays_above_the_hold(plant: str) -> None:
    case = as_found(plant)
    assert not isinstance(case.stack.hold, Missing)
    check = check_of(proof_of(case, Scenario.COLD_START), Watched.HOLD_IS_NO_TRAP)
    dips = [found(proof_of(case, scenario), Found.LOWEST)[0] for scenario in (Scenario.LOW_WATER, Scenario.POWER_DIP)]
    assert check.holds
    assert check.margin.value == pytest.approx(min(dips) - case.stack.hold, abs=0.01 * PA_PER_PSI)


def test_a_hold_that_a_dip_falls_into_is_a_trap_that_the_low_water_stop_shows() -> None:
    case = as_found("board-mill")
    check = check_of(proof_of(case, Scenario.COLD_START), Watched.HOLD_IS_NO_TRAP)
    assert not check.holds
    assert check.basis is Basis.COMMON_PRACTICE
    assert Watched.RESTARTS in failures(proof_of(case, Scenario.LOW_WATER))


def without_hold(**edits: object) -> Case:
    no_hold = {"boiler.controls.low_fire_hold": None, "boiler.as_found.low_fire_hold": None}
    return case_of(survey({**no_hold, **{f"boiler.{key}": value for key, value in edits.items()}}))


def test_without_a_hold_its_controls_fire_a_cold_boiler_up_at_once_and_the_proof_warns() -> None:
    # Fact of the trade: below its band a firing-rate control asks for all there is. A turndown of 4 is 25 %.
    proof = proof_of(without_hold(), Scenario.COLD_START)
    assert proof.verdict is Verdict.WARNS
    check = check_of(proof, Watched.KEPT_LOW)
    assert not check.holds
    assert check.basis is Basis.COMMON_PRACTICE
    assert check.observed.value == pytest.approx(1.0)
    assert check.limit.value == pytest.approx(0.25)
    # Four times the fire warms about four times as fast; what its controls do comes first.
    facts = [fact.found for fact in proof.facts if fact.found in {Found.FASTEST_WARMING, Found.LOW_FIRE_WARMING}]
    assert facts == [Found.FASTEST_WARMING, Found.LOW_FIRE_WARMING]
    (fastest,), (low,) = found(proof, Found.FASTEST_WARMING), found(proof, Found.LOW_FIRE_WARMING)
    assert 3.5 < fastest / low < 4.5


def test_with_a_hold_or_of_a_coil_nothing_is_said_of_being_kept_low() -> None:
    # Of a coil no practice is known; with a hold it is the hold that is looked at.
    for case in (as_found("laundry"), without_hold(kind="coil")):
        proof = proof_of(case, Scenario.COLD_START)
        assert Watched.KEPT_LOW not in {check.watched for check in proof.checks}


@pytest.mark.parametrize("edits", [{}, {"boiler.kind": "firetube"}, {"boiler.kind": "watertube"}], ids=str)
def test_a_burner_with_one_fire_has_no_low_fire_to_be_kept_at(edits: dict[str, object]) -> None:
    # On or off: nothing is lower than its one fire, and it is not found wanting for that, nor praised.
    proof = proof_of(case_of(survey(edits, plant="vertical")), Scenario.COLD_START)
    assert Watched.KEPT_LOW not in {check.watched for check in proof.checks}
    assert found(proof, Found.LOW_FIRE_WARMING) == []
    assert len(found(proof, Found.FASTEST_WARMING)) == 1


def test_without_a_hold_there_is_neither_a_trap_nor_a_start_without_it() -> None:
    case = case_of(survey({"boiler.controls.low_fire_hold": None, "boiler.as_found.low_fire_hold": None}))
    watched = {check.watched for check in proof_of(case, Scenario.COLD_START).checks}
    assert not watched & {Watched.HOLD_IS_NO_TRAP, Watched.HOLD_LETS_GO}
    assert isinstance(prove(case, Scenario.HOLD_ABSENT), NotApplicable)
