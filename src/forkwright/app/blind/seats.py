"""Seats: every person of a trial has a link of their own, and the link decides what is shown.

A seat is named by the trial's folder and an unguessable word. The words lie in `links.json` beside the plan.
The mechanic's link is shown when it is made and never again, since whoever has it can see settings. A link
that was lost or that somebody else has seen, the mechanic's or a rider's, is replaced by a new one, which is
counted, so that everybody whom it concerns can see that it happened.
"""

from __future__ import annotations

import json
import os
import re
import secrets
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from forkwright.trial import Plan
from forkwright.units import InputError

Role = Literal["rider", "leader", "mechanic"]
FILE = "links.json"
_NAME = re.compile(r"^[a-z0-9][a-z0-9-]{0,63}$")


class Links(BaseModel):
    """The secret words of one trial."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    format: Literal[1] = 1
    leader: str
    mechanic: str
    riders: dict[str, str]
    mechanic_links: Annotated[int, Field(ge=1)] = 1
    """How many links the mechanic has been given so far; all but the last are dead."""
    rider_links: dict[str, Annotated[int, Field(ge=2)]] = {}
    """The same for the riders who were given more than one."""

    def given_to(self, rider: str) -> int:
        """Return how many links a rider has been given so far."""
        return self.rider_links.get(rider, 1)


@dataclass(frozen=True)
class Seat:
    """One person at one trial."""

    trial: str
    role: Role
    person: str


def drawn_links(plan: Plan) -> Links:
    """Draw the words for everybody in a plan."""
    return Links(
        leader=secrets.token_urlsafe(18),
        mechanic=secrets.token_urlsafe(18),
        riders={rider: secrets.token_urlsafe(18) for rider in plan.request.riders},
    )


def lay_down(folder: Path, links: Links) -> bool:
    """Lay the first links beside a plan; false where there are links already, which then stay."""
    try:
        with os.fdopen(os.open(folder / FILE, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w") as file:
            file.write(links.model_dump_json(indent=1))
    except FileExistsError:
        return False
    return True


def read_links(folder: Path) -> Links | None:
    """Return the links of a trial, or None where none have been given out."""
    path = folder / FILE
    try:
        return Links.model_validate_json(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return None
    except (OSError, UnicodeDecodeError, ValidationError) as fault:
        raise InputError("the links of this trial cannot be read", file=str(path)) from fault


def renewed_mechanic(folder: Path, links: Links) -> Links:
    """Give the mechanic a new link; the one before stops working."""
    return _laid_down_anew(
        folder, links, mechanic=secrets.token_urlsafe(18), mechanic_links=links.mechanic_links + 1
    )


def renewed_rider(folder: Path, links: Links, rider: str) -> Links:
    """Give a rider a new link; the one before stops working. Raises InputError for no rider's name."""
    if rider not in links.riders:
        raise InputError("no such rider", key="rider", value=rider, allowed=", ".join(links.riders))
    return _laid_down_anew(
        folder,
        links,
        riders={**links.riders, rider: secrets.token_urlsafe(18)},
        rider_links={**links.rider_links, rider: links.given_to(rider) + 1},
    )


def _laid_down_anew(folder: Path, links: Links, **changes: Any) -> Links:
    renewed = links.model_copy(update=changes)
    handle, name = tempfile.mkstemp(dir=folder, prefix=f".{FILE}.")
    with os.fdopen(handle, "w") as file:
        file.write(json.dumps(renewed.model_dump(), ensure_ascii=False, indent=1))
    Path(name).replace(folder / FILE)
    return renewed


def token(trial: str, word: str) -> str:
    """Return a seat's token, as it stands in its link.

    Examples
    --------
    >>> token("two-spacers", "word")
    'two-spacers.word'
    """
    return f"{trial}.{word}"


def parted(text: str) -> tuple[str, str]:
    """Return a token's trial and word; a token of another shape raises InputError."""
    trial, _, word = text.partition(".")
    if not _NAME.match(trial) or not word:
        raise unknown_link()
    return trial, word


def seat_of(trial: str, links: Links, word: str, plan: Plan) -> Seat:
    """Return whose link this is. Raises InputError for a word that is nobody's."""
    offered = word.encode()
    request = plan.request
    holders: list[tuple[Role, str, str]] = [
        ("leader", request.leader, links.leader),
        ("mechanic", request.mechanic, links.mechanic),
        *(("rider", rider, links.riders.get(rider, "")) for rider in request.riders),
    ]
    found = [
        Seat(trial, role, person)
        for role, person, kept in holders
        if kept and secrets.compare_digest(kept.encode(), offered)
    ]
    if not found:
        raise unknown_link()
    return found[0]


def unknown_link() -> InputError:
    """Return the one answer to every link that is not in use."""
    return InputError("this link belongs to nobody here; ask for a new one", key="link")
