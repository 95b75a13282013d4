"""The mechanic's card: the setting of the next code alone, judged again before it is shown, and logged."""

from __future__ import annotations

from dataclasses import dataclass

from forkwright.trial import cautions, journal
from forkwright.trial.folder import Trial
from forkwright.trial.progress import next_run, open_stop, warmed_up
from forkwright.trial.request import Setting
from forkwright.units import InputError


@dataclass(frozen=True)
class Card:
    """One code, one setting, and what to check before the run."""

    code: str
    rider: str
    session: int
    place: int
    of: int
    """The run's place in its session, and how many runs that has, dimensionless."""
    label: str
    setting: Setting
    safety_checks: dict[str, str]
    mask_checks: dict[str, str]
    same_on_every_run: tuple[str, ...]


def next_card(trial: Trial, mechanic: str, admissible: cautions.Admissible, rider: str = "") -> Card:
    """Return the setting for the next code only, and log that it was shown.

    Parameters
    ----------
    trial : Trial
        The trial.
    mechanic : str
        Who asks; only the plan's mechanic may.
    admissible : callable
        Judges the setting again, now; see `cautions.Admissible`.
    rider : str
        The rider whose next run is meant; the next of all, if empty.

    Raises
    ------
    InputError
        If somebody else asks, the trial is stopped, closed or done, the rider has not warmed up today, or the
        setting may not be ridden.
    """
    plan = trial.plan
    if mechanic != plan.request.mechanic:
        raise InputError(
            "only the mechanic sees the card", key="mechanic", value=mechanic, allowed=plan.request.mechanic
        )
    if trial.state != "running":
        raise InputError(f"the trial is {trial.state}: no more runs", file=str(trial.folder))
    records = trial.records()
    if stop := open_stop(records):
        raise InputError(f"the trial is stopped ({stop.text}); the leader must resume it first")
    session, code = next_run(plan, records, rider)
    if not warmed_up(records, session.rider, trial.now()):
        raise InputError(f"{session.rider} has not recorded a warm-up run today", key="rider")
    option = trial.sealed_key().option(code)
    cautions.refuse_unridable(option, f"code {code}", admissible)
    with journal.held(trial.folder):
        trial.log_event("card", mechanic, code=code)
    return Card(
        code=code,
        rider=session.rider,
        session=session.number,
        place=session.codes.index(code) + 1,
        of=len(session.codes),
        label=option.label,
        setting=dict(option.setting),
        safety_checks=cautions.SAFETY_CHECKS,
        mask_checks=cautions.MASK_CHECKS,
        same_on_every_run=plan.same_on_every_run,
    )
