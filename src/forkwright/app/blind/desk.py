"""The desk where trials are planned and found again: one folder for each, below one place on this machine."""

from __future__ import annotations

import re
import shutil
import unicodedata
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from forkwright.app.blind import seats
from forkwright.app.blind.seats import Links, Seat
from forkwright.app.drafts import Draft, DraftReader, edited_text
from forkwright.trial import Admissible, Request, Trial, request_from_mapping
from forkwright.units import InputError

_LONGEST_NAME = 48
_MOST_OF_ONE_NAME = 500


@dataclass(frozen=True)
class Seated:
    """A person with an open link, and the trial in front of them."""

    seat: Seat
    trial: Trial
    links: Links


class Desk:
    """Plans trials and opens them by link.

    Parameters
    ----------
    place : Path or None
        The folder that holds the trials' folders; made when the first trial is planned. Without one there is
        no blind test in this workbench.
    """

    def __init__(self, place: Path | None) -> None:
        self._place = place

    def listed(self) -> list[dict[str, Any]]:
        """Return name, state and whether links are out for every trial here, the latest first."""
        found = []
        for folder in self._folders():
            try:
                trial = Trial(folder)
            except InputError:
                continue  # no trial, or one being planned at this moment
            found.append(
                {
                    "trial": folder.name,
                    "name": trial.plan.request.name,
                    "planned_at": trial.plan.planned_at.isoformat(),
                    "state": trial.state,
                    "links_out": (folder / seats.FILE).exists(),
                }
            )
        return sorted(found, key=lambda one: str(one["planned_at"]), reverse=True)

    def plan(
        self,
        content: Mapping[str, Any],
        forks: Sequence[Draft | None],
        drafts: DraftReader,
        seed: int | None,
    ) -> tuple[Trial, Links]:
        """Draw a plan, seal its key, and draw everybody's links.

        Parameters
        ----------
        content : mapping
            The request as from a form; options without unit files.
        forks : sequence of Draft or None
            What each option is a setting of, in the options' order; None where limits were checked by hand.
        drafts : DraftReader
            Reads the forks.
        seed : int, optional
            The printed seed.

        Raises
        ------
        InputError
            As the command line would for the same request.
        """
        request = request_from_mapping(content)
        if len(forks) != len(request.options):
            raise InputError("one for each option is needed", key="forks", value=str(len(forks)))
        folder = self._new_folder(request.name)
        try:
            named = _with_units(request, forks, drafts, folder)
            trial = Trial.planned(named, folder, admissible=_judge(named, folder), seed=seed)
            links = seats.drawn_links(trial.plan)
            seats.lay_down(folder, links)
        except BaseException:
            shutil.rmtree(folder, ignore_errors=True)  # made above, and nobody has seen it yet
            raise
        return trial, links

    def take_lead(self, name: str) -> tuple[Trial, Links]:
        """Draw the links of a trial that was planned on the command line; works once.

        Raises
        ------
        InputError
            If there is no such trial, or its links are out already.
        """
        trial = self._trial(name)
        links = seats.drawn_links(trial.plan)
        if not seats.lay_down(trial.folder, links):
            raise InputError("its links have been given out already; ask the leader for yours", key="trial")
        return trial, links

    def seated(self, token: str) -> Seated:
        """Return whose link this is, and their trial. Raises InputError for a link not in use."""
        name, word = seats.parted(token)
        try:
            trial = self._trial(name)
        except InputError:
            raise seats.unknown_link() from None
        links = seats.read_links(trial.folder)
        if links is None:
            raise seats.unknown_link()
        return Seated(seats.seat_of(name, links, word, trial.plan), trial, links)

    def new_mechanic_link(self, seated: Seated) -> Links:
        """Give the mechanic a new link, for the leader."""
        return seats.renewed_mechanic(seated.trial.folder, seated.links)

    def new_rider_link(self, seated: Seated, rider: str) -> Links:
        """Give a rider a new link, for the leader. Raises InputError for a name that is no rider's."""
        return seats.renewed_rider(seated.trial.folder, seated.links, rider)

    def _folders(self) -> list[Path]:
        if self._place is None or not self._place.is_dir():
            return []
        return [folder for folder in self._place.iterdir() if (folder / "plan.json").exists()]

    def _trial(self, name: str) -> Trial:
        if self._place is None or seats.parted(f"{name}.x")[0] != name:
            raise InputError("there is no such trial here", key="trial")
        return Trial(self._place / name)

    def _new_folder(self, name: str) -> Path:
        if self._place is None:
            raise InputError("this workbench was started without a place for trials", key="trials")
        stem = _folder_name(name)
        try:
            self._place.mkdir(parents=True, exist_ok=True)
            for number in range(1, _MOST_OF_ONE_NAME):
                folder = self._place / (stem if number == 1 else f"{stem}-{number}")
                try:
                    folder.mkdir()
                except FileExistsError:
                    continue
                return folder
        except OSError as fault:
            raise InputError(
                f"cannot be written ({fault.__class__.__name__})", file=str(self._place)
            ) from None
        raise InputError("too many trials of this name", key="name", value=name)


def judge_of(trial: Trial) -> Admissible:
    """Return the judge of a trial's settings, which looks at the unit files in its folder."""
    return _judge(trial.plan.request, trial.folder)


def _judge(request: Request, folder: Path) -> Admissible:
    from forkwright.tune.blind_limits import judge

    found: Callable[..., list[str]] = judge(request.limits, folder)
    return found


def _with_units(
    request: Request, forks: Sequence[Draft | None], drafts: DraftReader, folder: Path
) -> Request:
    """Lay the forks' files into the trial's folder, as measured and without the blind setting; name them."""
    options: list[Any] = []
    written: dict[str, str] = {}
    for option, draft in zip(request.options, forks, strict=True):
        if draft is None:
            options.append(option.model_copy(update={"unit": ""}))
            continue
        measured = {path: value for path, value in draft.edits.items() if not path.startswith("setting.")}
        text = edited_text(draft.model_copy(update={"edits": measured}))
        if text not in written:
            drafts.unit(Draft(toml=text, edits={}, name=draft.name))  # refuses what is no sound unit
            written[text] = f"unit-{len(written) + 1}.toml"
            (folder / written[text]).write_text(text, encoding="utf-8")
        options.append(option.model_copy(update={"unit": written[text]}))
    return request.model_copy(update={"options": tuple(options)})


def _folder_name(name: str) -> str:
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:_LONGEST_NAME].strip("-") or "trial"
