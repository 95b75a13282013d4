"""What each person may see: the rider codes only, the leader codes and labels, nobody settings."""

from __future__ import annotations

from typing import Any

from forkwright.trial.folder import Trial
from forkwright.trial.progress import missing_answers, open_stop
from forkwright.units import InputError


def rider_view(trial: Trial, rider: str) -> dict[str, Any]:
    """Return what a rider's phone shows and needs to work without a network; no labels and no settings.

    Parameters
    ----------
    trial : Trial
        The trial.
    rider : str
        Whose view.

    Raises
    ------
    InputError
        If there is no such rider.
    """
    plan = trial.plan
    request = plan.request
    if rider not in request.riders:
        raise InputError("no such rider", key="rider", value=rider, allowed=", ".join(request.riders))
    missing = missing_answers(plan, trial.records())
    return {
        "name": request.name,
        "question": request.question,
        "design": request.design,
        "rider": rider,
        "state": trial.state,
        "sessions": [
            {
                "session": session.number,
                "day": session.day,
                "codes": list(session.codes),
                "answered": f"session {session.number} ({rider})" not in missing,
            }
            for session in plan.sessions
            if session.rider == rider
        ],
        "scales": [scale.model_dump() for scale in request.scales],
        "times": list(request.times),
        "safety": list(plan.safety),
        "stop_rules": list(plan.stop_rules),
    }


def leader_view(trial: Trial) -> dict[str, Any]:
    """Return the plan as it is printed, and how far the trial is: labels, but not which code hides which."""
    plan = trial.plan
    request, size = plan.request, plan.size
    stop = open_stop(trial.records())
    return {
        "name": request.name,
        "design": request.design,
        "question": request.question,
        "labels": list(request.labels),
        "riders": list(request.riders),
        "leader": request.leader,
        "mechanic": request.mechanic,
        "planned_at": plan.planned_at.isoformat(),
        "seed": plan.seed,
        "commitment": plan.commitment,
        "alpha": request.aim.alpha,
        "power": size.power,
        "power_how": size.how,
        "repeats": size.repeats,
        "answers": size.answers,
        "runs": sum(len(session.codes) for session in plan.sessions),
        "days": plan.days,
        "sessions": [session.model_dump(mode="json") for session in plan.sessions],
        "checks": dict(plan.checks),
        "same_on_every_run": list(plan.same_on_every_run),
        "rules": list(plan.rules),
        "safety": list(plan.safety),
        "stop_rules": list(plan.stop_rules),
        "state": trial.state,
        "stopped": stop.text if stop else "",
        "broken_blind": trial.broken_at is not None,
        "missing": list(missing_answers(plan, trial.records())),
        "warnings": [*plan.warnings, *trial.tampering()],
    }
