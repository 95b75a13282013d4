"""What each seat is shown: what the room `trial` lets this person see, and nothing that tells more."""

from __future__ import annotations

from typing import Any

from forkwright.app.blind import seats
from forkwright.app.blind.desk import Seated
from forkwright.trial import leader_view, rider_view, typed_by_leader, warmed_up
from forkwright.trial.folder import now


def seen_by(seated: Seated) -> dict[str, Any]:
    """Return what the person with this link sees, in codes only."""
    seat = seated.seat
    who = {"role": seat.role, "person": seat.person, "trial": seat.trial}
    if seat.role == "rider":
        return who | _for_rider(seated)
    if seat.role == "mechanic":
        return who | _for_mechanic(seated)
    return who | _for_leader(seated)


def handed_out(seated_links: seats.Links, trial: str) -> dict[str, Any]:
    """Return every link of a trial as tokens, the mechanic's too: shown once, when they are made."""
    return {
        "leader": seats.token(trial, seated_links.leader),
        "mechanic": seats.token(trial, seated_links.mechanic),
        "riders": {rider: seats.token(trial, word) for rider, word in seated_links.riders.items()},
    }


def _for_rider(seated: Seated) -> dict[str, Any]:
    trial, rider = seated.trial, seated.seat.person
    records = trial.records()
    own = {code for session in trial.plan.sessions if session.rider == rider for code in session.codes}
    return rider_view(trial, rider) | {
        "stopped": bool(leader_view(trial)["stopped"]),
        "made_ready": [one.code for one in records if one.kind == "ready" and one.code in own],
        "skipped": [one.code for one in records if one.kind == "skip" and one.code in own],
        "warm_ups": [one.at.isoformat() for one in records if one.kind == "warm_up" and one.rider == rider],
        "rated": [one.code for one in records if one.kind in ("rating", "time") and one.code in own],
        "link_count": seated.links.given_to(rider),
    }


def _for_mechanic(seated: Seated) -> dict[str, Any]:
    view = leader_view(seated.trial)
    shown = ("name", "state", "stopped", "riders", "leader", "safety", "stop_rules", "runs", "warnings")
    done = [one for one in seated.trial.records() if one.kind in ("ready", "skip")]
    return {key: view[key] for key in shown} | {
        "runs_done": len(done),
        "mechanic_links": seated.links.mechanic_links,
    }


def _for_leader(seated: Seated) -> dict[str, Any]:
    trial, links = seated.trial, seated.links
    records = trial.records()
    view = leader_view(trial) | {
        "made_ready": [one.code for one in records if one.kind == "ready"],
        "skipped": [one.code for one in records if one.kind == "skip"],
        "warmed_up": sorted({one.rider for one in records if one.kind == "warm_up"}),
        "warmed_up_today": [rider for rider in trial.plan.request.riders if warmed_up(records, rider, now())],
        "rated": [one.code for one in records if one.kind in ("rating", "time")],
        "typed": sorted(typed_by_leader(trial.plan, records)),
        "scales": [scale.model_dump() for scale in trial.plan.request.scales],
        "times": list(trial.plan.request.times),
        "set_aside": [str(entry["why"]) for entry in trial.set_aside()],
        "rider_links": {rider: seats.token(seated.seat.trial, word) for rider, word in links.riders.items()},
        "rider_link_counts": {rider: links.given_to(rider) for rider in links.riders},
        "mechanic_links": links.mechanic_links,
    }
    if trial.state == "open":
        view["opened"] = key_shown(trial.opened_key().model_dump(mode="json"))
    return view


def key_shown(key: dict[str, Any]) -> dict[str, Any]:
    """Return an opened key as it is shown: which option was behind which code, the settings, the salt."""
    return {
        "allocation": key["allocation"],
        "salt": key["salt"],
        "options": [{"label": option["label"], "setting": option["setting"]} for option in key["options"]],
    }
