"""What is written into a running job: notes, parts and oils, leak-downs, settings, signatures, pictures."""

from __future__ import annotations

from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from forkwright.shop.file_texts import check_setting_fits
from forkwright.shop.records_job import (
    MATERIAL_KINDS,
    MOMENTS,
    SIGNATURE_ROLES,
    Job,
    LeakDown,
    Material,
    Note,
    Photo,
    SettingRecord,
    Signature,
)
from forkwright.shop.register import newest_file, required
from forkwright.shop.store import add
from forkwright.shop.typed import check_range, check_typed, typed_measure
from forkwright.units import InputError

LEAK_DOWN_LONGEST = 10_000.0  # h

_SETTING_DIMENSIONS = {
    "pressure": "pressure",
    "negative_pressure": "pressure",
    "floating": "pressure",
    "preload": "length",
    "sag": "length",
    "temperature": "temperature",
    "altitude": "length",
}
_SETTING_COUNTS = {"spacers": 50, "low_speed": 200, "high_speed": 200, "rebound": 200}


def add_note(session: Session, job: Job, text: str, *, author: str = "") -> Note:
    """Write a line in the job's book."""
    return add(session, Note(job_id=job.id, text=required(text, "note"), author=author))


def add_material(
    session: Session,
    job: Job,
    *,
    kind: str,
    name: str,
    amount: str = "",
    place: str = "",
    part_number: str = "",
    remark: str = "",
) -> Material:
    """Write down a part, oil or grease used; an oil's amount is a volume with its unit.

    Raises
    ------
    InputError
        Unknown kind, no name, or an oil amount that is no volume.
    """
    if kind not in MATERIAL_KINDS:
        raise InputError("unknown kind", key="kind", value=kind, allowed=", ".join(MATERIAL_KINDS))
    if kind == "oil":
        check_typed(amount, "volume", "amount")
    material = Material(
        job_id=job.id,
        kind=kind,
        name=required(name, "name"),
        amount=amount,
        place=place,
        part_number=part_number,
        remark=remark,
    )
    return add(session, material)


def add_leak_down(
    session: Session,
    job: Job,
    *,
    chamber: str,
    start_pressure: str,
    end_pressure: str,
    hours: float,
    start_temperature: str = "",
    end_temperature: str = "",
    verdict: str = "",
) -> LeakDown:
    """Write down a leak-down test: gauge pressures with their unit, `hours` (h) between the readings."""
    for key, text in (("start_pressure", start_pressure), ("end_pressure", end_pressure)):
        typed_measure(text, "pressure", key)
    check_typed(start_temperature, "temperature", "start_temperature")
    check_typed(end_temperature, "temperature", "end_temperature")
    check_range(hours, "hours", LEAK_DOWN_LONGEST, "h")
    test = LeakDown(
        job_id=job.id,
        chamber=required(chamber, "chamber"),
        start_pressure=start_pressure,
        end_pressure=end_pressure,
        hours=hours,
        start_temperature=start_temperature,
        end_temperature=end_temperature,
        verdict=verdict,
    )
    return add(session, test)


def record_setting(session: Session, job: Job, moment: str, **fields: Any) -> SettingRecord:
    """Write down the setting a unit came in with ("before") or leaves with ("after").

    Given fields replace what stood there; the others stay. Where the shop has the unit's file, a setting it
    leaves with must keep the limits stated there; the one it came in with is written down as found.

    Parameters
    ----------
    **fields
        Those of `SettingRecord`: texts with their unit (pressures gauge), counts, clicks from fully closed.

    Raises
    ------
    InputError
        Unknown field, unreadable quantity, count out of range, or over the unit's limit.
    """
    if moment not in MOMENTS:
        raise InputError("unknown moment", key="moment", value=moment, allowed=" or ".join(MOMENTS))
    for name, value in fields.items():
        _check_setting_field(name, value)
    query = select(SettingRecord).where(SettingRecord.job_id == job.id, SettingRecord.moment == moment)
    setting = session.scalars(query).first() or SettingRecord(job_id=job.id, moment=moment)
    for name, value in fields.items():
        setattr(setting, name, value)
    file = newest_file(session, job.unit_id)
    if file is not None and moment == "after":
        check_setting_fits(file.file_text, {name: getattr(setting, name) for name in _all_setting_fields()})
    return add(session, setting)


def sign(session: Session, job: Job, *, role: str, name: str, statement: str = "") -> Signature:
    """Sign for the job as it stands now; `forkwright.shop.views` tells whether it changed afterwards."""
    from forkwright.shop.views import job_digest

    if role not in SIGNATURE_ROLES:
        raise InputError("unknown role", key="role", value=role, allowed=", ".join(SIGNATURE_ROLES))
    signature = Signature(
        job_id=job.id,
        role=role,
        name=required(name, "name"),
        statement=statement,
        job_digest=job_digest(session, job),
    )
    return add(session, signature)


def add_photo(
    session: Session, job: Job, *, digest: str, width: int, height: int, size: int, caption: str = ""
) -> Photo:
    """Note a picture that `forkwright.shop.pictures.take_in` has kept."""
    return add(
        session,
        Photo(job_id=job.id, digest=digest, width=width, height=height, size=size, caption=caption),
    )


def _all_setting_fields() -> tuple[str, ...]:
    return (*_SETTING_DIMENSIONS, *_SETTING_COUNTS)


def _check_setting_field(name: str, value: Any) -> None:
    if name in _SETTING_DIMENSIONS:
        check_typed(value or "", _SETTING_DIMENSIONS[name], name)
    elif name in _SETTING_COUNTS:
        highest = _SETTING_COUNTS[name]
        if value is not None and not (isinstance(value, int) and 0 <= value <= highest):
            raise InputError("out of range", key=name, value=str(value), allowed=f"0 to {highest}")
    elif name != "remark":
        raise InputError("a setting has no such entry", key=name, allowed=", ".join(_all_setting_fields()))
