"""Keep instruments and their calibrations, and hand one over as the core reads it."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db import IntegrityError

from stillroom import monitoring
from stillroom.errors import InputError, Problem
from stillroom.records.models import Calibration, Instrument, Organisation, User
from stillroom.records.tenancy import visible
from stillroom.records.trail import writing
from stillroom.substances.properties import properties as properties_of

__all__ = [
    "KINDS",
    "Standing",
    "add_calibration",
    "as_read",
    "calibration_on",
    "keep_instrument",
    "molar_mass",
]

PID = "photoionisation detector"
KINDS = (PID, "electrochemical cell", "colorimetric tube", "other, for one substance")
"""A photoionisation detector sees many vapours; each of the others one, the first of its response factors."""
_USUAL_DAYS = 365
"""How long a calibration serves that names no date: common practice, no source [days]."""
_AIR = 295.15
"""Temperature at which a molar mass is looked up [K]; it does not depend on it."""
_ISOBUTYLENE = 56.11
"""[g/mol]"""


@dataclass(frozen=True, slots=True)
class Standing:
    """The calibration that held on a day."""

    last: Calibration | None
    due: datetime.date | None
    holds: bool

    @property
    def words(self) -> str:
        """What is said beside a reading; empty where the calibration holds."""
        if self.holds:
            return ""
        begins = f"Its calibration lapsed on {self.due}." if self.due else "No calibration of it is recorded."
        return (
            f"{begins} The reading is kept, and counts as that of an instrument that shows within a factor of two (90 %). "
            "Calibrate the instrument and read again."
        )


def calibration_on(instrument: Instrument, on: datetime.date) -> Standing:
    """The newest calibration not after a day, and whether it still held then.

    Parameters
    ----------
    instrument : Instrument
    on : datetime.date
    """
    last = max((row for row in instrument.calibrations.all() if row.on <= on), key=_age, default=None)
    if last is None:
        return Standing(None, None, False)
    due = last.due or last.on + datetime.timedelta(days=_USUAL_DAYS)
    return Standing(last, due, on <= due)


def _age(row: Calibration) -> tuple[datetime.date, int]:
    return row.on, row.pk


def as_read(instrument: Instrument, on: datetime.date) -> monitoring.Instrument:
    """The instrument as it was on a day; one whose calibration had lapsed is one that was never calibrated.

    Parameters
    ----------
    instrument : Instrument
    on : datetime.date

    Notes
    -----
    Past its date a calibration is no longer vouched for by anyone, so its drift is not extrapolated.
    """
    held = calibration_on(instrument, on)
    days = tuple(row.on for row in instrument.calibrations.all()) if held.holds else ()
    one = instrument.kind != PID
    factors = {row["cas"]: row for row in instrument.response_factors}
    return monitoring.Instrument(
        key=instrument.key,
        name=instrument.name,
        detection_limit_ppm=instrument.detection_limit_ppm or 0.0,
        lamp_eV=instrument.lamp_eV or 10.6,
        responses={
            cas: monitoring.Response(float(row["factor"]), source=row["source"])
            for cas, row in factors.items()
        },
        calibrated=days,
        target_cas=next(iter(factors), "") if one else "",
    )


def molar_mass(instrument: Instrument) -> float:
    """Of what its scale counts, for readings in mg/m³ [g/mol]: isobutylene, or its one substance."""
    if instrument.kind == PID:
        return _ISOBUTYLENE
    cas = next((row["cas"] for row in instrument.response_factors), "")
    found = properties_of(cas, temperature=_AIR).molar_mass
    value = getattr(found, "value", None)
    if value is None:
        raise InputError(
            Problem(f"the molar mass of {cas or 'its substance'} is not known", "Enter the reading in ppm.")
        )
    return float(value)


def keep_instrument(
    organisation: Organisation,
    user: User,
    *,
    name: str,
    kind: str,
    lamp_eV: float | None,
    detection_limit_ppm: float,
    response_factors: Sequence[Mapping[str, Any]],
    instrument: Instrument | None = None,
) -> Instrument:
    """A new instrument, or a changed one.

    Parameters
    ----------
    organisation : Organisation
    user : User
    name : str
    kind : str
        One of `KINDS`.
    lamp_eV : float or None
        Of a photoionisation detector [eV].
    detection_limit_ppm : float
        As isobutylene, or of its one substance [ppm].
    response_factors : sequence of mappings
        ``cas``, ``factor`` [-] and ``source``.
    instrument : Instrument, optional
        The one to change.

    Raises
    ------
    InputError
        Another instrument has that name, or a number is impossible.
    """
    row = instrument or Instrument(organisation=organisation, created_by=user)
    row.name, row.kind, row.lamp_eV = name, kind, lamp_eV
    row.detection_limit_ppm = detection_limit_ppm
    row.response_factors = [dict(factor) for factor in response_factors]
    monitoring.Instrument(
        key=row.key,
        name=name,
        detection_limit_ppm=detection_limit_ppm,
        lamp_eV=lamp_eV or 10.6,
        responses={item["cas"]: monitoring.Response(item["factor"]) for item in row.response_factors},
    )
    if visible(Instrument, organisation).filter(name=name).exclude(pk=row.pk).exists():
        raise InputError(_twice(name))
    reason = "an instrument was changed" if instrument else "a new instrument"
    try:
        with writing(organisation, user, reason=reason):
            row.save()
    except IntegrityError:
        raise InputError(_twice(name)) from None
    return row


def _twice(name: str) -> Problem:
    return Problem("another instrument has this name", "Add its serial number.", found=name)


def add_calibration(
    instrument: Instrument,
    user: User,
    *,
    on: datetime.date,
    due: datetime.date,
    by: str,
    gas: str = "",
    certificate: str = "",
) -> Calibration:
    """A calibration; written once.

    Raises
    ------
    InputError
        It falls due before it was made.
    """
    if due <= on:
        raise InputError(
            Problem("it falls due before it was made", "Correct one of the dates.", column="due")
        )
    with writing(instrument.organisation, user, reason="an instrument was calibrated") as write:
        row: Calibration = Calibration.objects.create(
            organisation=instrument.organisation,
            created_by=user,
            instrument=instrument,
            on=on,
            due=due,
            by=by,
            gas=gas,
            certificate=certificate,
        )
        write.call(row, "instrument.calibrated")
    return row
