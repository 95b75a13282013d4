"""Inspection check lists: what to look at, and how a measured wear stands against the shop's own limit.

The lists name what to look at and how; no limit comes with the program. A wear limit is a figure of the
shop's own (`forkwright.shop.register.add_figure`, kind "wear", item = the key here), from the maker's manual.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sqlalchemy import select
from sqlalchemy.orm import Session

from forkwright.shop.records import Unit
from forkwright.shop.records_job import FINDING_RESULTS, Finding, Job
from forkwright.shop.register import figures_for
from forkwright.shop.store import add, find
from forkwright.shop.typed import typed_measure
from forkwright.units import InputError, Measure

Standing = Literal["within", "beyond", "too close to call"]


@dataclass(frozen=True)
class CheckItem:
    """One thing to look at.

    `measured` says what length is measured, empty when the eye and hand decide. The limit is the largest
    length allowed. `structural` means that damage here stops the job: the part is not ridden again.
    """

    key: str
    what: str
    how: str
    kinds: tuple[str, ...] = ("fork", "shock")
    measured: str = ""
    structural: bool = False


_FORK = ("fork",)
_SHOCK = ("shock",)

CHECK_LIST: tuple[CheckItem, ...] = (
    CheckItem(
        "crown_and_steerer",
        "Crown and steerer",
        "Clean, look under good light for cracks and marks at the press fits; rock it, listen for a creak.",
        _FORK,
        structural=True,
    ),
    CheckItem(
        "lowers",
        "Lower legs and arch",
        "Look for cracks at the arch, the brake mount and the axle ends, and for impact marks.",
        _FORK,
        structural=True,
    ),
    CheckItem(
        "axle",
        "Axle and its threads",
        "Look for cracks, bends and worn threads; see whether it slides through both ends without force.",
        _FORK,
        structural=True,
    ),
    CheckItem(
        "stanchion_wear",
        "Stanchion wear",
        "Micrometer in the worn band against the unworn end, along and across the bike.",
        _FORK,
        measured="difference of diameter between unworn and most worn place",
    ),
    CheckItem(
        "stanchion_surface", "Stanchion surface", "Fingernail and light: scratches, worn coating.", _FORK
    ),
    CheckItem(
        "bushing_play",
        "Bushing play",
        "Dial gauge at the seal while the lowers are rocked, at rest height and near full travel.",
        _FORK,
        measured="play at the seal, fore and aft",
    ),
    CheckItem(
        "shock_body",
        "Body and eyelets",
        "Clean, look for cracks at the eyelets, the threads and the can, and for dents.",
        _SHOCK,
        structural=True,
    ),
    CheckItem(
        "mount_play",
        "Mounting hardware play",
        "Dial gauge at the eyelet while the rear wheel is lifted.",
        _SHOCK,
        measured="play at the eyelet",
    ),
    CheckItem(
        "shaft_straightness",
        "Shaft straightness",
        "Shaft on two supports, dial gauge at mid-length, one slow turn.",
        measured="total reading over one turn",
    ),
    CheckItem("shaft_surface", "Shaft surface", "Fingernail and light: scratches, pits, worn plating."),
    CheckItem("seals", "Wipers and seals", "Look for cuts, hard lips and weeping oil."),
    CheckItem("foam_rings", "Foam rings", "Look for torn, flat or dry rings.", _FORK),
    CheckItem("valve_core", "Filling valves", "Soapy water on each valve; look at the cap's seal."),
    CheckItem(
        "adjusters", "Adjusters", "Turn each through its range and count; note hard or missing clicks."
    ),
    CheckItem("fasteners", "Bolts and threads", "Look for rounded heads, pulled threads and missing bolts."),
)


def check_list(kind: str) -> tuple[CheckItem, ...]:
    """Return what to look at on a "fork" or a "shock"."""
    return tuple(item for item in CHECK_LIST if kind in item.kinds)


def check_item(key: str, kind: str) -> CheckItem:
    """Return one item of the list.

    Raises
    ------
    InputError
        There is no such item for this kind of unit.
    """
    for item in check_list(kind):
        if item.key == key:
            return item
    known = ", ".join(item.key for item in check_list(kind))
    raise InputError(f"a {kind} has no check of that name", key="item", value=key, allowed=known)


def standing(measured: Measure, limit: Measure) -> Standing:
    """Say where a measured wear stands against the largest allowed, given how well both are known.

    Parameters
    ----------
    measured, limit : Measure
        Lengths in m, each with its tolerance (one standard deviation).

    Returns
    -------
    str
        "too close to call" when the two differ by less than two standard deviations of their difference
        (about 95 % for a normal spread; BIPM JCGM 100:2008, 6.3.3 takes a coverage factor of 2 for that),
        otherwise "within" or "beyond". Without tolerances the limit itself still counts as within.

    Examples
    --------
    >>> from forkwright.units import parse
    >>> standing(parse("0.10 ± 0.01 mm", "length"), parse("0.20 mm", "length"))
    'within'
    >>> standing(parse("0.19 ± 0.01 mm", "length"), parse("0.20 mm", "length"))
    'too close to call'
    """
    spread = 2.0 * (measured.std**2 + limit.std**2) ** 0.5
    distance = limit.si - measured.si
    if spread > 0.0 and abs(distance) < spread:
        return "too close to call"
    return "within" if distance >= 0.0 else "beyond"


def record_finding(
    session: Session,
    job: Job,
    *,
    item: str,
    result: str = "",
    measured: str = "",
    remark: str = "",
    resolved: str = "",
) -> Finding:
    """Write one line of the inspection; the same item again replaces it (the audit trail keeps the old).

    Parameters
    ----------
    item : str
        A key of the check list.
    result : str
        One of `FINDING_RESULTS`. Left empty with a measured wear and a limit of the shop's own, these decide:
        within is "good", too close to call is "watch", beyond is "worn" ("stop" on a structural part).
    measured : str
        The measured wear with its unit, for items that are measured.

    Raises
    ------
    InputError
        Unknown item or result, a length for an item that is not measured, or nothing to decide by.
    """
    unit = find(session, Unit, job.unit_id, deleted_too=True)
    what = check_item(item, unit.kind)
    if measured and not what.measured:
        raise InputError("this check is not a measured one", key=item, value=measured)
    reading = _length(measured, item) if measured else None
    limit_text = limit_for(session, unit, item) if what.measured else ""
    limit = _length(limit_text, f"{item} limit") if limit_text else None
    finding = session.scalars(select(Finding).where(Finding.job_id == job.id, Finding.item == item)).first()
    fields = {
        "result": _result(what, result, reading, limit),
        "measured": measured,
        "measured_m": None if reading is None else reading.si,
        "limit": limit_text,
        "limit_m": None if limit is None else limit.si,
        "resolved": resolved,
        "remark": remark,
    }
    if finding is None:
        return add(session, Finding(job_id=job.id, item=item, **fields))
    for name, value in fields.items():
        setattr(finding, name, value)
    session.flush()
    return finding


def limit_for(session: Session, unit: Unit, item: str) -> str:
    """Return the shop's own wear limit for this unit as typed, empty when it has none."""
    for figure in figures_for(session, unit.name, "wear"):
        if figure.item == item:
            return figure.value
    return ""


def _result(what: CheckItem, wanted: str, reading: Measure | None, limit: Measure | None) -> str:
    if wanted:
        if wanted not in FINDING_RESULTS:
            raise InputError("unknown result", key="result", value=wanted, allowed=", ".join(FINDING_RESULTS))
        return wanted
    if reading is None or limit is None:
        raise InputError(
            "say how it looks, or give a measured wear for which the shop has a limit",
            key=what.key,
            allowed=", ".join(FINDING_RESULTS),
        )
    worn = "stop" if what.structural else "worn"
    return {"within": "good", "too close to call": "watch", "beyond": worn}[standing(reading, limit)]


def _length(text: str, key: str) -> Measure:
    measure = typed_measure(text, "length", key)
    if measure.si < 0.0:
        raise InputError("a wear cannot be negative", key=key, value=text)
    return measure
