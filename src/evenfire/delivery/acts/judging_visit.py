"""Judge a visit as it stands: what was found and left, the tests, and what stands against signing."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

from evenfire.delivery.acts.checking import check_boiler, identity_of
from evenfire.delivery.acts.earlier_tests import earlier_of
from evenfire.delivery.acts.gauges import Bag, bag_of
from evenfire.delivery.answers import BoilerCheck
from evenfire.delivery.intake.plant_file import PlantFile
from evenfire.delivery.records.database import Store
from evenfire.delivery.visit_answers import AtVisit, JudgedDevice, JudgedTrip, JudgedVisit, WantedTrip
from evenfire.delivery.visits.standing import Left, TripsSeen, bars, flags
from evenfire.delivery.visits.visit import DeviceEntry, TripEntry
from evenfire.judgement.case import Case, SettingsSet, prepare
from evenfire.judgement.moves.closing import has_low_fire
from evenfire.judgement.trip_test.abort import AbortAnswer, abort_of, expected_rate
from evenfire.judgement.trip_test.devices import DeviceTest, DeviceVerdict, judge_device
from evenfire.judgement.trip_test.judging import judge_trip
from evenfire.judgement.trip_test.planning import Planned, plan_of
from evenfire.judgement.trip_test.repeatability import repeatability_of
from evenfire.judgement.trip_test.trip import TESTED, Caution, Reading, TripResult, TripTest, Verdict
from evenfire.plant.boiler import Boiler
from evenfire.plant.controls import Controls, Role
from evenfire.plant.known import Missing
from evenfire.plant.settings import DialReading, Settings, with_reading
from evenfire.si import ROUNDING_PA, DiffPa, GaugePa

if TYPE_CHECKING:
    # A proof loads arrays and a compiler; a visit that is judged at rest does without them.
    from evenfire.delivery.acts.proving_as_left import InMotion
    from evenfire.judgement.proofs.learning import Progress

SECONDS_OF_RISE = 10.0
"""Before the action, over which a technician reads how fast the gauge rises [s]."""
REPEATS = 3
"""Of a trip test that is told beforehand."""
SHARE_OF_ROUNDING = 0.2
"""Of the band: who copies the pressure that was told, rounded for reading, tests against the same [1]."""


def judged(store: Store, at: AtVisit, watch: "Callable[[Progress], None] | None" = None) -> JudgedVisit:
    """Judge a visit; its settings as left are proved as soon as every dial of the survey was read."""
    from evenfire.delivery.acts.proving_as_left import in_motion

    seen = _seen_at_rest(store, at)
    plant_file = as_left(at, seen.trips, seen.tests)
    boiler = next(each for each in plant_file.plant.boilers if each.name == at.boiler.name)
    motion = in_motion(plant_file, boiler, watch, is_read=_is_read_as_left(at, boiler))
    return _judged_visit(at, seen, motion)


def judged_at_rest(store: Store, at: AtVisit) -> JudgedVisit:
    """Judge a visit at once, without setting anything in motion: nothing that is proved, and nothing to be signed."""
    return _judged_visit(at, _seen_at_rest(store, at), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class _AtRest:
    """What a visit shows without a simulation."""

    found: BoilerCheck
    left: BoilerCheck | None
    trips: tuple[JudgedTrip, ...]
    devices: tuple[JudgedDevice, ...]
    wanted: tuple[WantedTrip, ...]
    tests: TripsSeen


def _seen_at_rest(store: Store, at: AtVisit) -> _AtRest:
    boiler, day = at.surveyed, at.visit.day
    found = check_boiler(at.plant_file, boiler, None)
    bag = bag_of(store)
    goal = _goal(at, found)
    trips = tuple(_judged_trip(store, at, goal, bag, entry, day) for entry in at.visit.trips)
    devices = tuple(_judged_device(boiler, entry) for entry in at.visit.devices)
    tests = seen_in(at, trips, devices)
    return _AtRest(
        found=found,
        left=_left(as_left(at, trips, tests), at),
        trips=trips,
        devices=devices,
        wanted=tuple(_wanted(store, at, goal, bag, day)),
        tests=tests,
    )


def _judged_visit(at: AtVisit, seen: _AtRest, motion: "InMotion | None") -> JudgedVisit:
    known = Left(
        outcomes=() if seen.left is None else seen.left.outcomes,
        unsafe_scenarios=() if motion is None else motion.unsafe,
        failing_scenarios=() if motion is None else motion.failing,
        scenarios_not_proved=() if motion is None else motion.not_proved,
    )
    is_stale = at.visit.proposed is not None and at.visit.proposed.plant_revision != at.plant_file.revision
    return JudgedVisit(
        at=at,
        found=seen.found,
        left=seen.left,
        proofs=None if motion is None else motion.proofs,
        is_at_rest=motion is None,
        trips=seen.trips,
        devices=seen.devices,
        wanted=seen.wanted,
        seen=seen.tests,
        bars=bars(at.visit, at.surveyed, known, seen.tests),
        flags=flags(at.visit, at.surveyed, known, seen.tests, is_stale=is_stale),
        is_stale=is_stale,
        identity=identity_of(at.plant_file),
        physics_version="" if motion is None else motion.physics_version,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class ActsAt:
    """Where a control was seen to act."""

    trip: GaugePa
    """[Pa gauge]"""
    tolerance: DiffPa
    """How far from there it may act the next time, either way [Pa]"""
    differential: DiffPa | None = None
    """Of an operating limit, where its restart was read; else that of its dial counts [Pa]"""


def as_left(at: AtVisit, trips: tuple[JudgedTrip, ...], seen: TripsSeen) -> PlantFile:
    """The survey with the settings as left: a control proved on this visit stands where it was seen to act."""
    last = {role: last_of(role, trips) for role in TESTED if role in seen.proved}
    proved = {
        role: ActsAt(
            trip=each.result.proved.trip,
            tolerance=each.result.proved.tolerance,
            differential=each.result.proved.differential,
        )
        for role, each in last.items()
        if each is not None and each.result.proved is not None
    }
    found = with_bypasses_left(at.plant_file, at.boiler.name, at.visit.jumpers_left)
    return left_as(found, at.boiler.name, replace(at.visit.as_left, read_on=at.visit.day), proved)


def with_bypasses_left(plant_file: PlantFile, boiler_name: str, left: tuple[str, ...] | None) -> PlantFile:
    """A survey without the bypasses that were found, where somebody looked in the end and saw none; else they count.

    Who took a jumper off and saw none shall not have to write down that none was found.
    """
    if left != ():
        return plant_file
    boilers = tuple(
        replace(each, as_found=replace(each.as_found, jumpers=left))
        if each.name == boiler_name and each.as_found is not None
        else each
        for each in plant_file.plant.boilers
    )
    return replace(plant_file, plant=replace(plant_file.plant, boilers=boilers))


def left_as(plant_file: PlantFile, boiler_name: str, left: Settings, proved: Mapping[Role, ActsAt]) -> PlantFile:
    """A survey with these settings as left; a control that is proved stands where it was seen to act."""
    boiler = next(each for each in plant_file.plant.boilers if each.name == boiler_name)
    settings = replace(left, proved=frozenset(proved))
    controls = boiler.controls
    for role, shown in proved.items():
        control = controls.of(role)
        if control is None:
            continue
        controls = controls.having(role, replace(control, tolerance=replace(control.tolerance, proved=shown.tolerance)))
        reading = settings.of(role)
        if reading is not None and shown.differential is not None:
            reading = replace(reading, differential=shown.differential)
            settings = with_reading(settings, role, reading)
            controls = _reaching(controls, role, reading)
        moved = replace(boiler, controls=controls, as_left=settings)
        settings = _acting_at(moved, plant_file, settings, role, shown.trip)
        acts = settings.of(role)
        controls = controls if acts is None else _reaching(controls, role, acts)
    changed = replace(boiler, controls=controls, as_left=settings)
    boilers = tuple(changed if each.name == boiler_name else each for each in plant_file.plant.boilers)
    return replace(plant_file, plant=replace(plant_file.plant, boilers=boilers))


def _reaching(controls: Controls, role: Role, reading: DialReading) -> Controls:
    """The controls with scales that reach a reading: where a control was seen to act need not be on its dial."""
    control = controls.of(role)
    if control is None:
        return controls
    scale, ends, differential = control.scale, control.differential_scale, reading.differential
    if scale is not None:
        scale = replace(scale, lowest=min(scale.lowest, reading.main), highest=max(scale.highest, reading.main))
    if ends is not None and differential is not None and differential > 0.0:
        ends = replace(ends, lowest=min(ends.lowest, differential), highest=max(ends.highest, differential))
    return controls.having(role, replace(control, scale=scale, differential_scale=ends))


def seen_in(at: AtVisit, trips: tuple[JudgedTrip, ...], devices: tuple[JudgedDevice, ...]) -> TripsSeen:
    """How the tests came out; a fail stands until a later test of the same control shows it safe."""

    def rows(wanted: Callable[[Verdict], bool]) -> tuple[int, ...]:
        return tuple(
            each.entry.row for each in trips if wanted(each.result.verdict) and not _made_good(at, each, trips)
        )

    proved = frozenset(role for role in TESTED if _stands_proved(at, last_of(role, trips)))

    def device_rows(*wanted: DeviceVerdict) -> tuple[int, ...]:
        return tuple(
            each.entry.row
            for each in devices
            if _device_verdict(each) in wanted and not _device_made_good(each, devices)
        )

    return TripsSeen(
        unsafe=rows(lambda verdict: verdict.is_unsafe),
        undecided=rows(lambda verdict: verdict in {Verdict.UNDECIDED_HIGH, Verdict.MUST_NOT_BE_MADE}),
        function_only=rows(lambda verdict: verdict is Verdict.FUNCTION_ONLY),
        not_judged=rows(lambda verdict: verdict is Verdict.NOT_JUDGED),
        trips_low=rows(lambda verdict: verdict is Verdict.TRIPS_LOW),
        other_aim=tuple(each.entry.row for each in trips if each.is_other_aim and not _made_good(at, each, trips)),
        differential_off=tuple(
            each.entry.row
            for each in trips
            if Caution.DIFFERENTIAL_NOT_AS_SET in each.result.cautions and each is last_of(Role.OPERATING_LIMIT, trips)
        ),
        proved=proved,
        devices_failed=device_rows(DeviceVerdict.FAILED),
        devices_early=device_rows(DeviceVerdict.FAILED_EARLY),
        devices_not_judged=device_rows(DeviceVerdict.NOT_JUDGED, DeviceVerdict.SHOWS_NOTHING),
    )


def last_of(role: Role, trips: tuple[JudgedTrip, ...]) -> JudgedTrip | None:
    """The last test of a control on this visit."""
    of_role = [each for each in trips if each.entry.control is role]
    return of_role[-1] if of_role else None


def _made_good(at: AtVisit, trip: JudgedTrip, trips: tuple[JudgedTrip, ...]) -> bool:
    """Whether a later test showed the control safe where its dial stands now, or where it stood higher."""
    if trip.entry.control is None:
        return False
    later = [each for each in trips if each.entry.row > trip.entry.row and each.entry.control is trip.entry.control]
    safe = [each.entry.dial for each in later if each.result.verdict.is_safe and not each.is_other_aim]
    left = at.visit.as_left.of(trip.entry.control)
    if left is None:
        return bool(safe)
    # A dial turned up after the test acts where nobody saw it act.
    return any(dial is not None and left.main <= dial + ROUNDING_PA for dial in safe)


def _device_verdict(device: JudgedDevice) -> DeviceVerdict:
    return DeviceVerdict.NOT_JUDGED if device.result is None else device.result.verdict


def _device_made_good(device: JudgedDevice, devices: tuple[JudgedDevice, ...]) -> bool:
    same = (
        each
        for each in devices
        if each.entry.row > device.entry.row
        and (each.entry.kind, each.entry.valve) == (device.entry.kind, device.entry.valve)
    )
    return any(each.result is not None and each.result.verdict is DeviceVerdict.PASSED for each in same)


def _stands_proved(at: AtVisit, trip: JudgedTrip | None) -> bool:
    """Whether the dial still stands where it stood when the control was seen to act."""
    if trip is None or trip.result.proved is None or trip.entry.dial is None or trip.entry.control is None:
        return False
    reading = at.visit.as_left.of(trip.entry.control)
    return reading is not None and abs(reading.main - trip.entry.dial) <= ROUNDING_PA


def _acting_at(boiler: Boiler, plant_file: PlantFile, settings: Settings, role: Role, trip: GaugePa) -> Settings:
    """The settings with a control whose upper point stands at a trip pressure; a dial off its scale is no matter."""
    reading = settings.of(role)
    acts = _upper_point(prepare(plant_file.plant, boiler, SettingsSet.AS_LEFT, settings), role)
    if reading is None or acts is None:
        return settings
    return with_reading(settings, role, replace(reading, main=GaugePa(reading.main + trip - acts)))


def _upper_point(case: Case, role: Role) -> GaugePa | None:
    point = case.stack.trip if role is Role.HIGH_LIMIT else case.stack.cut_out
    return None if isinstance(point, Missing) else GaugePa(point)


def _goal(at: AtVisit, found: BoilerCheck) -> Case:
    """What a test is made against: the proposal where there is one, else what was found."""
    if at.visit.proposed is None:
        return found.case
    return prepare(at.plant_file.plant, at.surveyed, SettingsSet.PROPOSED, at.visit.proposed.settings)


def _with_dial(at: AtVisit, goal: Case, role: Role, dial: GaugePa) -> Case:
    """Where nothing was proposed a control shall act where its dial stood at the test, not where it was found."""
    found, left = goal.settings.of(role), at.visit.as_left.of(role)
    differential = next((each.differential for each in (left, found) if each is not None and each.differential), None)
    settings = with_reading(goal.settings, role, DialReading(main=dial, differential=differential))
    return prepare(at.plant_file.plant, at.surveyed, SettingsSet.AS_LEFT, settings)


def _aim(goal: Case, role: Role) -> tuple[GaugePa | None, DiffPa | None]:
    """Where a control shall act, and how far from there it may."""
    control = goal.boiler.controls.of(role)
    tolerance = None if control is None else control.tolerance
    band = None if tolerance is None else tolerance.proved if role in goal.settings.proved else tolerance.dial
    return _upper_point(goal, role), band


def _judged_trip(store: Store, at: AtVisit, goal: Case, bag: Bag, entry: TripEntry, day: date) -> JudgedTrip:
    if entry.control is None:
        return JudgedTrip(
            entry=entry, test=None, abort=None, result=TripResult(verdict=Verdict.NOT_JUDGED, missing=("trip.control",))
        )
    if at.visit.proposed is None and entry.dial is not None:
        goal = _with_dial(at, goal, entry.control, entry.dial)
    aim, band = _aim(goal, entry.control)
    gauge = None if entry.gauge is None else bag.gauge(entry.gauge, day, entry.gauge_leg)
    differential, differential_within = _differential(at, goal, entry.control)
    test = TripTest(
        role=entry.control,
        method=entry.method,
        on=day,
        set_pressure=aim if entry.set_pressure is None else entry.set_pressure,
        band=_narrower(band, entry.within),
        ceiling=_ceiling(goal),
        is_other_aim=_is_other_aim(entry, aim, band),
        wider_was_typed=_is_wider(entry, band),
        differential_set=differential,
        differential_within=differential_within,
        gauge=gauge,
        readings=tuple(
            Reading(shown=each.shown, burner_off_after=each.burner_off)
            for each in entry.readings
            if each.shown is not None
        ),
        rate=None if entry.rise is None else entry.rise / SECONDS_OF_RISE,
        opened=entry.opened,
        stopped_by_hand=entry.stopped_by_hand,
        held_until_reset=entry.held_until_reset,
        early_reset_took=entry.early_reset_took,
        restarted_at=entry.restarted_at,
        # A burner without a low fire cannot be held there, and nothing is amiss that it was not.
        at_low_fire=entry.at_low_fire or not has_low_fire(goal.boiler),
    )
    abort: AbortAnswer | None = None
    if gauge is not None and test.set_pressure is not None and test.band is not None:
        abort = abort_of(goal, test.set_pressure, test.band, gauge)
    earlier = earlier_of(store, at.boiler.id, at.surveyed, entry.control)
    result = judge_trip(test, earlier, abort)
    calibration = "" if entry.gauge is None else bag.certificate(entry.gauge, day)
    return JudgedTrip(
        entry=entry,
        test=test,
        abort=abort,
        result=result,
        calibration=calibration,
        is_other_aim=test.is_other_aim,
    )


def _is_other_aim(entry: TripEntry, aim: GaugePa | None, band: DiffPa | None) -> bool:
    """Whether it was tested against another pressure than its aim, by more than the rounding of what was told."""
    if aim is None or not band or entry.set_pressure is None:
        return False
    return abs(entry.set_pressure - aim) > SHARE_OF_ROUNDING * band


def _is_wider(entry: TripEntry, band: DiffPa | None) -> bool:
    return bool(band) and entry.within is not None and entry.within > (1.0 + SHARE_OF_ROUNDING) * (band or 0.0)


def _narrower(band: DiffPa | None, typed: DiffPa | None) -> DiffPa | None:
    """Of the band of its aim and what the sheet asks for: nobody makes a limit safer by typing a wider band."""
    return min((each for each in (band, typed) if each), default=None)


def _ceiling(goal: Case) -> GaugePa | None:
    """Above this no limit may act, whatever its band."""
    lift = goal.facts.earliest_lift
    known = [each for each in (goal.boiler.mawp, None if isinstance(lift, Missing) else lift) if each is not None]
    return GaugePa(min(known)) if known else None


def _could_meet(goal: Case) -> GaugePa | None:
    """What a gauge may have to show where a control does not act."""
    lift = goal.facts.earliest_lift
    return None if isinstance(lift, Missing) else GaugePa(lift)


def _differential(at: AtVisit, goal: Case, role: Role) -> tuple[DiffPa | None, DiffPa | None]:
    """What the differential of an operating limit is set to, and how far off its dial may be."""
    left, aim, control = at.visit.as_left.of(role), goal.settings.of(role), goal.boiler.controls.of(role)
    set_to = next((each.differential for each in (left, aim) if each is not None and each.differential), None)
    return set_to, None if control is None else control.tolerance.dial


def _judged_device(boiler: Boiler, entry: DeviceEntry) -> JudgedDevice:
    if entry.kind is None:
        return JudgedDevice(entry=entry, result=None)
    valves = [each for each in boiler.safety_valves if entry.valve in {None, each.name}]
    test = DeviceTest(
        device=entry.kind,
        works=entry.works,
        took=entry.took,
        at=entry.at,
        valve=valves[0] if len(valves) == 1 else None,
    )
    return JudgedDevice(entry=entry, result=judge_device(test))


def _wanted(store: Store, at: AtVisit, goal: Case, bag: Bag, day: date) -> Iterator[WantedTrip]:
    """Both limits of the boiler, with which gauge could decide and where the test is broken off."""
    for role in TESTED:
        aim, band = _aim(goal, role)
        if aim is None or not band:
            continue
        earlier = earlier_of(store, at.boiler.id, goal.boiler, role)
        rate = expected_rate(goal, aim)
        repeatability = repeatability_of((), this_control=earlier.this_control, same_kind=earlier.same_kind)
        planned = Planned(
            set_pressure=aim,
            band=band,
            on=day,
            repeats=REPEATS,
            rate=None if isinstance(rate, Missing) else rate.value,
            repeatability=repeatability,
            ceiling=_ceiling(goal),
            could_meet=_could_meet(goal),
        )
        gauges = bag.all_level(day)
        yield WantedTrip(
            role=role,
            set_pressure=aim,
            band=band,
            plan=plan_of(planned, gauges),
            aborts=tuple((gauge.serial, abort_of(goal, aim, band, gauge)) for gauge in gauges),
        )


def _left(plant_file: PlantFile, at: AtVisit) -> BoilerCheck | None:
    if at.visit.as_left == Settings():
        return None
    boiler = next(each for each in plant_file.plant.boilers if each.name == at.boiler.name)
    return check_boiler(plant_file, boiler, SettingsSet.AS_LEFT)


def _is_read_as_left(at: AtVisit, boiler: Boiler) -> bool:
    """Whether every dial that the survey tells was read."""
    dials = (role for role in Role if (control := boiler.controls.of(role)) is not None and control.scale is not None)
    return at.visit.as_left != Settings() and all(at.visit.as_left.of(role) is not None for role in dials)
