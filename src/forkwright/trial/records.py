"""One record: what a rider, the leader or the mechanic wrote down, under an id: sent twice, kept once."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import AwareDatetime, BaseModel, ConfigDict, Field, ValidationError

from forkwright.trial.cautions import MASK_CHECKS, SAFETY_CHECKS
from forkwright.trial.plan import Plan, Session
from forkwright.trial.request_errors import as_input_error
from forkwright.units import InputError

Kind = Literal[
    "warm_up", "ready", "skip", "choice", "ranking", "rating", "time", "remark", "incident", "resume"
]
Identifier = Annotated[str, Field(pattern=r"^[A-Za-z0-9._:-]{1,64}$")]

#: What each kind must carry beside id, time and writer; what else it may carry.
_MUST: dict[str, tuple[str, ...]] = {
    "warm_up": ("rider",),
    "ready": ("code", "checks"),
    "skip": ("code", "text"),
    "choice": ("session", "choice"),
    "ranking": ("session", "ranking"),
    "rating": ("code", "values"),
    "time": ("code", "values"),
    "remark": ("text",),
    "incident": ("text", "severity"),
    "resume": ("text",),
}
_MAY: dict[str, tuple[str, ...]] = {"remark": ("code", "rider"), "incident": ("code", "rider")}
_BY_MECHANIC = ("ready", "skip")
_BY_LEADER = ("resume",)
#: What only a rider can say; the leader may type it in from paper.
OPINIONS = ("choice", "ranking", "rating")
_LONGEST_TIME = 4 * 3600.0  # s


class Record(BaseModel):
    """A record as it is sent and kept. It never names an option: only codes."""

    model_config = ConfigDict(frozen=True, extra="forbid", str_strip_whitespace=True, allow_inf_nan=False)
    id: Identifier
    """Made by the device that wrote it; the same record sent twice is kept once."""
    kind: Kind
    at: AwareDatetime
    """When it was written, by the device's clock, with its time zone."""
    by: Annotated[str, Field(min_length=1, max_length=60)]
    rider: str = ""
    code: str = ""
    session: int | None = None
    values: dict[str, float] = Field(default_factory=dict)
    """Ratings in points by scale, or times in seconds by name."""
    choice: str = ""
    ranking: tuple[str, ...] = ()
    """Codes, the best first."""
    checks: tuple[str, ...] = ()
    severity: Literal["", "note", "stop"] = ""
    text: str = Field(default="", max_length=2000)
    replaces: str = ""
    """The id of an earlier record of the same kind that this one corrects; both stay."""


def read_record(content: Mapping[str, Any] | str, name: str = "", line: int | None = None) -> Record:
    """Read one record from JSON text or parsed content. Raises InputError naming the key.

    Parameters
    ----------
    content : mapping or str
        The record.
    name : str
        The file it comes from, named in errors.
    line : int, optional
        Its line there, from 1.
    """
    if isinstance(content, str):
        try:
            content = json.loads(content)
        except (ValueError, RecursionError) as fault:
            raise InputError("not valid JSON", file=name or None, line=line, value=str(content)) from fault
    try:
        return Record.model_validate(content)
    except ValidationError as fault:
        error = as_input_error(fault, "", name)
        error.line = line
        raise error from fault


def checked(record: Record, plan: Plan) -> Session | None:
    """Hold a record against the plan and return the session it belongs to, if it belongs to one.

    Raises
    ------
    InputError
        If something is missing or does not belong, or the writer may not write this.
    """
    for key in _MUST[record.kind]:
        if getattr(record, key) in ("", (), {}, None):
            raise InputError(f"a {record.kind} record needs it", key=key)
    for key in ("rider", "code", "session", "values", "choice", "ranking", "checks", "severity", "text"):
        given = getattr(record, key) not in ("", (), {}, None)
        allowed = (*_MUST[record.kind], *_MAY.get(record.kind, ()), "text", "rider")
        if given and key not in allowed:
            raise InputError(f"a {record.kind} record has no place for it", key=key)
    session = _session(record, plan)
    _writer(record, plan, session)
    _content(record, plan, session)
    return session


def _session(record: Record, plan: Plan) -> Session | None:
    request = plan.request
    if record.rider and record.rider not in request.riders:
        raise InputError("no such rider", key="rider", value=record.rider, allowed=", ".join(request.riders))
    session = None
    if record.code and (session := plan.session_of(record.code)) is None:
        raise InputError("no such code in this trial", key="code", value=record.code)
    if record.session is not None:
        if not 1 <= record.session <= len(plan.sessions):
            raise InputError(
                "no such session",
                key="session",
                value=str(record.session),
                allowed=f"1 to {len(plan.sessions)}",
            )
        session = plan.sessions[record.session - 1]
    if session and record.rider and record.rider != session.rider:
        raise InputError(
            f"the session belongs to {session.rider}", key="rider", value=record.rider, allowed=session.rider
        )
    return session


def _writer(record: Record, plan: Plan, session: Session | None) -> None:
    request = plan.request
    people = {request.mechanic, request.leader, *request.riders}
    if record.kind in _BY_MECHANIC:
        people = {request.mechanic}
    elif record.kind in _BY_LEADER:
        people = {request.leader}
    elif record.kind in OPINIONS and session:
        people = {session.rider, request.leader}  # the mechanic knows the setting: no opinions from there
    if record.by not in people:
        raise InputError(
            f"may not write a {record.kind} record here",
            key="by",
            value=record.by,
            allowed=", ".join(sorted(people)),
        )


def _content(record: Record, plan: Plan, session: Session | None) -> None:
    if record.kind == "choice" and session:
        asked = session.codes[1:] if plan.request.design == "duo-trio" else session.codes
        if plan.request.design not in ("paired", "triangle", "duo-trio"):
            raise InputError(f"a {plan.request.design} trial asks for no choice", key="kind", value="choice")
        _one_of("choice", record.choice, asked)
    elif record.kind == "ranking" and session:
        if plan.request.design != "ranked":
            raise InputError(
                f"a {plan.request.design} trial asks for no ranking", key="kind", value="ranking"
            )
        if sorted(record.ranking) != sorted(session.codes):
            raise InputError(
                "rank every code of the session once, the best first",
                key="ranking",
                value=", ".join(record.ranking),
                allowed=", ".join(session.codes),
            )
    elif record.kind == "rating":
        _ratings(record, plan)
    elif record.kind == "time":
        _times(record, plan)
    elif record.kind == "ready":
        _ready(record)


def _ratings(record: Record, plan: Plan) -> None:
    scales = {scale.name: scale for scale in plan.request.scales}
    for name, value in record.values.items():
        _one_of("values", name, tuple(scales))
        if value != int(value) or not 1 <= value <= scales[name].points:
            raise InputError(
                "not a point of the scale",
                key=f"values.{name}",
                value=f"{value:g}",
                allowed=f"whole points from 1 ({scales[name].low}) to {scales[name].points} "
                f"({scales[name].high})",
            )


def _times(record: Record, plan: Plan) -> None:
    for name, value in record.values.items():
        _one_of("values", name, plan.request.times)
        if not 0 < value <= _LONGEST_TIME:
            raise InputError(
                "not a time of a run",
                key=f"values.{name}",
                value=f"{value:g}",
                allowed=f"above 0 to {_LONGEST_TIME:g} seconds",
            )


def _ready(record: Record) -> None:
    for key in record.checks:
        _one_of("checks", key, (*SAFETY_CHECKS, *MASK_CHECKS))
    missing = [words for key, words in SAFETY_CHECKS.items() if key not in record.checks]
    if missing:
        raise InputError(f"not to be ridden before this is ticked: {'; '.join(missing)}", key="checks")


def masked(record: Record) -> bool:
    """Tell whether a ready record has every mask ticked."""
    return set(MASK_CHECKS) <= set(record.checks)


def _one_of(key: str, value: str, allowed: tuple[str, ...]) -> None:
    if value not in allowed:
        raise InputError("not in this trial", key=key, value=value, allowed=", ".join(allowed) or "none")
