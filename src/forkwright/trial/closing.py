"""The end of a trial: the records close, then the key opens; or the blind is broken, and that stays."""

from __future__ import annotations

from dataclasses import dataclass

from forkwright.trial import journal
from forkwright.trial.folder import Trial
from forkwright.trial.plan import allocation
from forkwright.trial.progress import missing_answers
from forkwright.trial.seal import Key
from forkwright.units import InputError


@dataclass(frozen=True)
class Opened:
    """The key, and what was verified about it; its commitment holds, since any other key is refused."""

    key: Key
    draw_repeats: bool
    """The same seed and salt give the same allocation again."""
    broken_blind: bool


def close_records(trial: Trial, by: str, reason: str = "") -> tuple[str, ...]:
    """Close the records for good and return the sessions that are missing.

    Parameters
    ----------
    trial : Trial
        The trial.
    by : str
        Who closes: the leader.
    reason : str
        Why, if answers are missing.

    Raises
    ------
    InputError
        If not the leader asks, it is closed already, or answers are missing and no reason is given.
    """
    leader = trial.plan.request.leader
    if by != leader:
        raise InputError("only the leader closes the records", key="by", value=by, allowed=leader)
    with journal.held(trial.folder):
        if trial.state != "running":
            raise InputError(f"the trial is {trial.state} already", file=str(trial.folder))
        missing = missing_answers(trial.plan, trial.records())
        if missing and not reason:
            raise InputError(
                f"{len(missing)} of {len(trial.plan.sessions)} sessions have no complete answer; closing is "
                "final, so give a reason",
                key="reason",
            )
        head = journal.read_lines(trial.folder / "records.jsonl").head
        trial.log_event("closed", by, reason=reason, missing=len(missing), records_chain=head)
    return missing


def open_key(
    trial: Trial, by: str, *, printed_commitment: str = "", break_blind: bool = False, reason: str = ""
) -> Opened:
    """Open the key, verified and logged. Before the records are closed this breaks the blind.

    Parameters
    ----------
    trial : Trial
        The trial.
    by : str
        Who opens it: anyone named in the plan.
    printed_commitment : str
        The commitment as it was printed at planning, if the paper is at hand.
    break_blind : bool
        Open although records are still taken, for safety; later answers will not count.
    reason : str
        Why; needed to break the blind.

    Raises
    ------
    InputError
        If the records are not closed (and the blind is not to be broken), the person is unknown, or the key
        is not the one promised.
    """
    request, folder = trial.plan.request, trial.folder
    if by not in (request.leader, request.mechanic, *request.riders):
        raise InputError("not named in the plan", key="by", value=by)
    _same_as_printed(trial, printed_commitment)
    with journal.held(folder):
        state = trial.state
        if state == "running" and not break_blind:
            raise InputError(
                "the records are not closed: close them first, or break the blind with a reason",
                file=str(folder),
            )
        if state == "running" and not reason:
            raise InputError("breaking the blind needs a reason", key="reason")
        key = trial.sealed_key()
        event = {"running": "broken blind", "closed": "opened", "open": "read again"}[state]
        trial.log_event(event, by, reason=reason, commitment=trial.plan.commitment)
        journal.write_whole(folder / "opened.json", key.model_dump_json(indent=1) + "\n")
    return Opened(key, draw_repeats(trial, key), trial.broken_at is not None)


def draw_repeats(trial: Trial, key: Key) -> bool:
    """Tell whether seed and salt give the key's allocation again: nobody chose it by hand."""
    plan = trial.plan
    again = allocation(plan.request, plan.size.repeats, plan.sessions, key.seed, bytes.fromhex(key.salt))
    return again == key.allocation and key.seed == plan.seed


def _same_as_printed(trial: Trial, printed: str) -> None:
    printed = printed.strip().lower()
    if printed and printed != trial.plan.commitment:
        raise InputError(
            "the plan's commitment is not the printed one: the plan was changed",
            key="commitment",
            value=printed,
            allowed=trial.plan.commitment,
        )
