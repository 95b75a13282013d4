"""The plan: who rides which codes in which order, what is promised before the first run, the sealed key."""

from __future__ import annotations

import secrets
from collections.abc import Sequence
from datetime import datetime
from typing import Literal

from pydantic import AwareDatetime, BaseModel, ConfigDict

from forkwright.trial import cautions
from forkwright.trial.draws import Draws
from forkwright.trial.orders import (
    DUO_TRIO_ORDERS,
    TRIANGLE_ORDERS,
    Order,
    dealt_evenly,
    pair_orders,
    williams,
)
from forkwright.trial.promises import rules_of, warnings_of
from forkwright.trial.request import Option, Request
from forkwright.trial.schedule import days_for
from forkwright.trial.seal import Key, commitment
from forkwright.trial.sizing import Size, Tell, size_for
from forkwright.units import InputError

_LARGEST_SEED = 2**53 - 1  # what every JSON reader keeps exactly


class Session(BaseModel):
    """The runs of one rider that belong to one answer: a pair, a triple, or one round of all options."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    number: int
    rider: str
    round: int
    day: int
    codes: tuple[str, ...]


class Plan(BaseModel):
    """What everyone may see. It holds codes and labels, never which code hides which label."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    format: Literal[1] = 1
    planned_at: AwareDatetime
    seed: int
    commitment: str
    request: Request
    """The request without the settings: those lie sealed."""
    size: Size
    days: int
    sessions: tuple[Session, ...]
    checks: dict[str, str]
    same_on_every_run: tuple[str, ...]
    rules: tuple[str, ...]
    safety: tuple[str, ...]
    stop_rules: tuple[str, ...]
    warnings: tuple[str, ...]

    def session_of(self, code: str) -> Session | None:
        """Return the session in which a code is ridden, or None."""
        return next((session for session in self.sessions if code in session.codes), None)

    def runs(self) -> list[tuple[Session, str]]:
        """Return every run in running order, as (session, code)."""
        return [(session, code) for session in self.sessions for code in session.codes]


def make_plan(
    request: Request,
    *,
    admissible: cautions.Admissible,
    planned_at: datetime,
    seed: int | None = None,
    salt: bytes | None = None,
    tell: Tell | None = None,
) -> tuple[Plan, Key]:
    """Draw a plan and its sealed key.

    Parameters
    ----------
    request : Request
        What is to be found out.
    admissible : callable
        Given an option, returns why it may not be ridden (an empty list lets it through).
    planned_at : datetime
        With its time zone.
    seed : int, optional
        The printed seed, dimensionless, from 0 to 2**53 - 1; drawn if not given.
    salt : bytes, optional
        The sealed salt, 32 bytes; drawn if not given, and given only to repeat a draw.
    tell : callable, optional
        Told how far the search for the size is; may raise to stop. See `size_for`.

    Raises
    ------
    InputError
        If a setting may not be ridden, a session does not fit into a day, or the seed is out of range.
    """
    for option in request.options:
        cautions.refuse_unridable(option, option.label, admissible)
    seed = secrets.randbelow(_LARGEST_SEED) if seed is None else seed
    if not 0 <= seed <= _LARGEST_SEED:
        raise InputError("out of range", key="seed", value=str(seed), allowed=f"0 to {_LARGEST_SEED}")
    salt = salt or secrets.token_bytes(32)
    size = size_for(request, tell=tell)
    sessions = _sessions(request, size.repeats, seed)
    days = max(session.day for session in sessions)
    key = Key(
        name=request.name,
        seed=seed,
        salt=salt.hex(),
        options=request.options,
        allocation=allocation(request, size.repeats, sessions, seed, salt),
    )
    return (
        Plan(
            planned_at=planned_at,
            seed=seed,
            commitment=commitment(key),
            request=_without_settings(request),
            size=size,
            days=days,
            sessions=sessions,
            checks={**cautions.SAFETY_CHECKS, **cautions.MASK_CHECKS},
            same_on_every_run=(*cautions.SAME_ON_EVERY_RUN, *request.same_on_every_run),
            rules=rules_of(request, size),
            safety=cautions.SAFETY_NOTES,
            stop_rules=cautions.STOP_RULES,
            warnings=warnings_of(request, size, days),
        ),
        key,
    )


def allocation(
    request: Request, repeats: int, sessions: Sequence[Session], seed: int, salt: bytes
) -> dict[str, str]:
    """Return which option hides behind which code; the same seed and salt give the same answer for ever.

    Parameters
    ----------
    request : Request
        Its design, labels and riders are used.
    repeats, seed : int
        Rounds of each rider, and the printed seed, dimensionless.
    sessions : sequence of Session
        The public sessions.
    salt : bytes
        The sealed salt.
    """
    draws = Draws(seed, "allocation", salt)
    labels = draws.shuffled(request.labels)
    hands = _hands(request, repeats, draws)
    left = {rider: iter(hand) for rider, hand in zip(request.riders, hands, strict=True)}
    return {
        code: labels[place]
        for session in sessions
        for code, place in zip(session.codes, next(left[session.rider]), strict=True)
    }


def _hands(request: Request, repeats: int, draws: Draws) -> list[list[Order]]:
    """Deal each rider's orders of the options, one for each session in turn."""
    riders, options = len(request.riders), len(request.options)
    if request.design != "paired":
        fixed = {"triangle": [TRIANGLE_ORDERS], "duo-trio": [DUO_TRIO_ORDERS]}.get(request.design)
        return dealt_evenly(fixed or williams(options), riders, repeats, draws)
    pairs = [dealt_evenly([pair], riders, repeats, draws) for pair in pair_orders(options)]
    return [
        [order for each in range(repeats) for order in draws.shuffled([pair[rider][each] for pair in pairs])]
        for rider in range(riders)
    ]


def _sessions(request: Request, repeats: int, seed: int) -> tuple[Session, ...]:
    """Draw the codes and the riders' turns, from the printed seed alone."""
    draws = Draws(seed, "codes and turns")
    options = len(request.options)
    runs = {"paired": 2, "triangle": 3, "duo-trio": 3}.get(request.design, options)
    each_round = options * (options - 1) // 2 if request.design == "paired" else 1
    turns = [
        (rider, turn + 1)
        for turn in range(repeats)
        for _ in range(each_round)
        for rider in draws.shuffled(request.riders)
    ]
    codes = iter(_codes(len(turns) * runs, draws))
    days = days_for([rider for rider, _ in turns], runs, request.day)
    return tuple(
        Session(
            number=number, rider=rider, round=turn, day=day, codes=tuple(next(codes) for _ in range(runs))
        )
        for number, ((rider, turn), day) in enumerate(zip(turns, days, strict=True), start=1)
    )


def _codes(count: int, draws: Draws) -> list[str]:
    """Return distinct codes of three digits (four for a very long trial), which say nothing by themselves."""
    low, high = (100, 1000) if count <= 450 else (1000, 10_000)
    if count > 4500:
        raise InputError(f"{count} runs are more than a trial can hold", key="repeats", allowed="4500 runs")
    return [str(number) for number in draws.shuffled(range(low, high))[:count]]


def _without_settings(request: Request) -> Request:
    bare = tuple(
        Option(label=option.label, checked_by_hand=option.checked_by_hand) for option in request.options
    )
    return request.model_copy(update={"options": bare})
