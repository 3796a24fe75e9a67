"""The reference gauges of a store, as a trip test wants them."""

from dataclasses import dataclass, replace
from datetime import date

from evenfire.delivery.records.database import Store
from evenfire.delivery.records.instruments import ReferenceGauge as KeptGauge
from evenfire.delivery.records.instruments import gauges_of
from evenfire.delivery.units import read
from evenfire.judgement.trip_test.gauge import ReferenceGauge
from evenfire.plant.controls import Filling, Position, WaterLeg
from evenfire.si import DiffPa, Dimension, GaugePa

SHARE_SIGN = "%"


@dataclass(frozen=True, slots=True)
class Bag:
    """The gauges that a technician may take."""

    kept: tuple[KeptGauge, ...]

    def gauge(self, serial: str, on: date, leg: WaterLeg | None) -> ReferenceGauge | None:
        """The gauge of that serial as it hangs at a boiler; nothing where the store does not know it."""
        found = [each for each in self.kept if each.serial == serial.strip()]
        return None if not found else as_measured_with(found[0], on, leg)

    def all_level(self, on: date) -> tuple[ReferenceGauge, ...]:
        """Every gauge in use, hung level with its tap."""
        level = WaterLeg(height=0.0, position=Position.BELOW_TAP, filling=Filling.FULL)
        return tuple(as_measured_with(each, on, level) for each in self.kept if not each.is_retired)

    def certificate(self, serial: str, on: date) -> str:
        """The certificate of a gauge on a day; empty where there is none."""
        found = [each for each in self.kept if each.serial == serial.strip()]
        calibration = found[0].calibration_on(on) if found else None
        return "" if calibration is None else calibration.certificate


def bag_of(store: Store) -> Bag:
    """All gauges that the store knows."""
    return Bag(gauges_of(store))


def as_measured_with(kept: KeptGauge, on: date, leg: WaterLeg | None) -> ReferenceGauge:
    """A gauge of the store as a reading of that day is judged with it."""
    lowest = read(kept.scale_from, Dimension.GAUGE_PRESSURE).value
    highest = read(kept.scale_to, Dimension.GAUGE_PRESSURE).value
    gauge = ReferenceGauge(
        serial=kept.serial,
        name=kept.name,
        lowest=GaugePa(lowest),
        highest=GaugePa(highest),
        permissible_error=_accuracy(kept.accuracy, highest - lowest),
        division=DiffPa(read(kept.division, Dimension.PRESSURE_DIFFERENCE).value),
        water_leg=leg,
    )
    calibration = kept.calibration_on(on)
    if calibration is None:
        return gauge
    uncertainty, correction = calibration.expanded_uncertainty, calibration.correction
    return replace(
        gauge,
        calibrated_on=calibration.made_on,
        expanded_uncertainty=None if uncertainty is None else _difference(uncertainty),
        correction=DiffPa(0.0) if correction is None else _difference(correction),
        coverage_factor=2.0 if calibration.coverage_factor is None else float(calibration.coverage_factor),
    )


def _accuracy(text: str, span: float) -> DiffPa:
    """A class in per cent is of the whole scale."""
    if text.strip().endswith(SHARE_SIGN):
        return DiffPa(read(text, Dimension.FRACTION).value * span)
    return _difference(text)


def _difference(text: str) -> DiffPa:
    return DiffPa(read(text, Dimension.PRESSURE_DIFFERENCE).value)
