"""The registers of reference gauges with their calibrations, and of controls by serial number."""

import uuid
from dataclasses import dataclass
from datetime import date
from typing import Final

from sqlalchemy import Connection, insert, select, update

from evenfire.delivery.records.database import Store
from evenfire.delivery.records.finding import one_of
from evenfire.delivery.records.registers import boiler_by_id
from evenfire.delivery.records.tables import attachments, calibrations, controls, gauges
from evenfire.delivery.units import read
from evenfire.errors import BadRequest, UnreadableQuantity
from evenfire.plant.controls import Role
from evenfire.si import Dimension


@dataclass(frozen=True, slots=True, kw_only=True)
class Calibration:
    """One calibration of a reference gauge. Quantities are text with their unit, as on the certificate."""

    made_on: date
    due_on: date | None
    certificate: str
    made_by: str
    correction: str | None
    """To be added to what the gauge shows: ``-0.2 psi``"""
    expanded_uncertainty: str | None
    """``0.25 psi``"""
    coverage_factor: str | None
    """``2``"""
    attachment: str | None
    """SHA-256 of the certificate as a file"""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReferenceGauge:
    """A gauge that trip points are read on. Quantities are text with their unit, as on its dial."""

    id: str
    serial: str
    name: str
    scale_from: str
    scale_to: str
    division: str
    accuracy: str
    """``0.25 %`` of the scale, or a pressure"""
    is_retired: bool
    calibrations: tuple[Calibration, ...]
    """Oldest first"""

    def calibration_on(self, day: date) -> Calibration | None:
        """The last calibration made by that day; it may have run out since."""
        made = [each for each in self.calibrations if each.made_on <= day]
        return made[-1] if made else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitting:
    """A control, by its serial number, fitted to a boiler in a role."""

    id: str
    serial: str
    kind: str
    """What it is, in words"""
    boiler: str
    role: Role
    fitted_on: date
    removed_on: date | None


def add_gauge(
    store: Store, *, serial: str, name: str, scale_from: str, scale_to: str, division: str, accuracy: str
) -> ReferenceGauge:
    """A new reference gauge.

    Raises
    ------
    BadRequest
        A gauge has this serial number already.
    UnreadableQuantity
        A quantity cannot be read.
    """
    row = {
        "id": str(uuid.uuid4()),
        "serial": _text(serial, "serial number"),
        "name": _text(name, "name"),
        "scale_from": _quantity(scale_from, Dimension.GAUGE_PRESSURE),
        "scale_to": _quantity(scale_to, Dimension.GAUGE_PRESSURE),
        "division": _quantity(division, Dimension.PRESSURE_DIFFERENCE),
        "accuracy": _quantity(accuracy, Dimension.FRACTION, Dimension.PRESSURE_DIFFERENCE),
        "added_at": store.clock(),
    }
    with store.write() as connection:
        if connection.execute(select(gauges.c.id).where(gauges.c.serial == row["serial"])).first() is not None:
            raise BadRequest(f"A reference gauge with the serial number {serial} is in this store already.")
        connection.execute(insert(gauges).values(row))
    return find_gauge(store, serial)


def retire_gauge(store: Store, serial: str) -> ReferenceGauge:
    """Take a gauge out of use; what it measured stays.

    Raises
    ------
    BadRequest
        There is no such gauge.
    """
    gauge = find_gauge(store, serial)
    with store.write() as connection:
        unused = gauges.c.retired_at.is_(None)
        connection.execute(update(gauges).where(gauges.c.id == gauge.id, unused).values(retired_at=store.clock()))
    return find_gauge(store, serial)


def add_calibration(store: Store, serial: str, calibration: Calibration) -> ReferenceGauge:
    """Keep a calibration of a gauge.

    Raises
    ------
    BadRequest
        There is no such gauge or attachment, or it is due before it was made.
    UnreadableQuantity
        A quantity cannot be read.
    """
    gauge = find_gauge(store, serial)
    if calibration.due_on is not None and calibration.due_on <= calibration.made_on:
        raise BadRequest("A calibration is due again on a later day than it was made.")
    difference, number = Dimension.PRESSURE_DIFFERENCE, Dimension.NUMBER
    row = {
        "id": str(uuid.uuid4()),
        "gauge": gauge.id,
        "made_on": calibration.made_on,
        "due_on": calibration.due_on,
        "certificate": _text(calibration.certificate, "number of a certificate"),
        "made_by": _text(calibration.made_by, "name of who calibrated"),
        "correction": _stated(calibration.correction, difference),
        "expanded_uncertainty": _stated(calibration.expanded_uncertainty, difference),
        "coverage_factor": _stated(calibration.coverage_factor, number),
        "attachment": calibration.attachment,
    }
    with store.write() as connection:
        _require_attachment(connection, calibration.attachment)
        connection.execute(insert(calibrations).values(row))
    return find_gauge(store, serial)


def gauges_of(store: Store) -> tuple[ReferenceGauge, ...]:
    """All reference gauges, by serial number."""
    with store.read() as connection:
        asked = select(
            gauges.c.id,
            gauges.c.serial,
            gauges.c.name,
            gauges.c.scale_from,
            gauges.c.scale_to,
            gauges.c.division,
            gauges.c.accuracy,
            gauges.c.retired_at,
        )
        rows = connection.execute(asked.order_by(gauges.c.serial)).all()
        made = _calibrations(connection)
    return tuple(
        ReferenceGauge(
            id=id_,
            serial=serial,
            name=name,
            scale_from=scale_from,
            scale_to=scale_to,
            division=division,
            accuracy=accuracy,
            is_retired=retired_at is not None,
            calibrations=tuple(made.get(id_, ())),
        )
        for id_, serial, name, scale_from, scale_to, division, accuracy, retired_at in rows
    )


def find_gauge(store: Store, serial: str) -> ReferenceGauge:
    """A gauge by its serial number.

    Raises
    ------
    BadRequest
        There is none.
    """
    return one_of(gauges_of(store), serial, what="reference gauge", names=lambda gauge: (gauge.id, gauge.serial))


def fit_control(store: Store, *, boiler: str, role: Role, serial: str, kind: str, on: date) -> Fitting:
    """A control is fitted; what had this role there until now counts as removed on that day.

    Raises
    ------
    BadRequest
        There is no such boiler, the serial number is fitted elsewhere and was not removed, or what was there was fitted
        later.
    """
    number = _text(serial, "serial number")
    with store.write() as connection:
        boiler_by_id(connection, boiler)
        fitted = controls.c.removed_on.is_(None)
        here = (controls.c.boiler == boiler) & (controls.c.role == role.value)
        elsewhere = select(controls.c.id).where(fitted, controls.c.serial == number, ~here)
        if connection.execute(elsewhere).first() is not None:
            raise BadRequest(f"The control {number} is fitted elsewhere in this store; take it off there first.")
        before = connection.execute(select(controls.c.fitted_on).where(fitted, here)).scalars().all()
        if any(day > on for day in before):
            raise BadRequest(f"What has this role there was fitted on {max(before)}; a later day is wanted.")
        connection.execute(update(controls).where(fitted, here).values(removed_on=on))
        row = {"id": str(uuid.uuid4()), "serial": number, "kind": kind.strip(), "boiler": boiler}
        connection.execute(insert(controls).values({**row, "role": role.value, "fitted_on": on}))
        return _fitting(connection, row["id"])


def remove_control(store: Store, fitting: str, *, on: date) -> Fitting:
    """A control is taken off (by the id of its fitting).

    Raises
    ------
    BadRequest
        There is no such fitting, it was taken off already, or was fitted later.
    """
    with store.write() as connection:
        found = _fitting(connection, fitting)
        if found.removed_on is not None or found.fitted_on > on:
            until = f" to {found.removed_on}" if found.removed_on is not None else ""
            raise BadRequest(
                f"The control {found.serial} was fitted from {found.fitted_on}{until}; it cannot come off on {on}."
            )
        connection.execute(update(controls).where(controls.c.id == fitting).values(removed_on=on))
        return _fitting(connection, fitting)


def fittings_of(store: Store, boiler: str | None = None, *, serial: str | None = None) -> tuple[Fitting, ...]:
    """What was ever fitted, to one boiler or of one serial number, oldest first."""
    asked = _FITTINGS
    if boiler is not None:
        asked = asked.where(controls.c.boiler == boiler)
    if serial is not None:
        asked = asked.where(controls.c.serial == serial)
    with store.read() as connection:
        rows = connection.execute(asked.order_by(controls.c.fitted_on, controls.c.id)).all()
    return tuple(_fitted(*row) for row in rows)


_FITTINGS: Final = select(
    controls.c.id,
    controls.c.serial,
    controls.c.kind,
    controls.c.boiler,
    controls.c.role,
    controls.c.fitted_on,
    controls.c.removed_on,
)


def _fitting(connection: Connection, fitting: str) -> Fitting:
    row = connection.execute(_FITTINGS.where(controls.c.id == fitting)).one_or_none()
    if row is None:
        raise BadRequest(f"There is no fitted control of the id {fitting} in this store.")
    return _fitted(*row)


def _fitted(
    id_: str, serial: str, kind: str, boiler: str, role: str, fitted_on: date, removed_on: date | None, /
) -> Fitting:
    return Fitting(
        id=id_, serial=serial, kind=kind, boiler=boiler, role=Role(role), fitted_on=fitted_on, removed_on=removed_on
    )


def _calibrations(connection: Connection) -> dict[str, list[Calibration]]:
    asked = select(
        calibrations.c.gauge,
        calibrations.c.made_on,
        calibrations.c.due_on,
        calibrations.c.certificate,
        calibrations.c.made_by,
        calibrations.c.correction,
        calibrations.c.expanded_uncertainty,
        calibrations.c.coverage_factor,
        calibrations.c.attachment,
    )
    found: dict[str, list[Calibration]] = {}
    for row in connection.execute(asked.order_by(calibrations.c.made_on, calibrations.c.id)):
        gauge, made_on, due_on, certificate, made_by, correction, uncertainty, factor, attachment = row
        kept = Calibration(
            made_on=made_on,
            due_on=due_on,
            certificate=certificate,
            made_by=made_by,
            correction=correction,
            expanded_uncertainty=uncertainty,
            coverage_factor=factor,
            attachment=attachment,
        )
        found.setdefault(gauge, []).append(kept)
    return found


def _require_attachment(connection: Connection, sha256: str | None) -> None:
    if sha256 is None:
        return
    if connection.execute(select(attachments.c.sha256).where(attachments.c.sha256 == sha256)).first() is None:
        raise BadRequest(f"There is no attachment {sha256} in this store; attach the certificate first.")


def _text(text: str, what: str) -> str:
    plain = " ".join(text.split())
    if not plain or not plain.isprintable():
        raise BadRequest(f"The {what} is missing, or cannot be printed; write it as it stands on the plate.")
    return plain


def _stated(text: str | None, dimension: Dimension) -> str | None:
    return None if text is None else _quantity(text, dimension)


def _quantity(text: str, *dimensions: Dimension) -> str:
    """The text as typed, once it reads as one of these quantities."""
    refused: UnreadableQuantity | None = None
    for dimension in dimensions:
        try:
            read(text, dimension)
        except UnreadableQuantity as error:
            refused = refused or error
        else:
            return text.strip()
    assert refused is not None
    raise refused
