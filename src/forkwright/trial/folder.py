"""A trial on disk: one folder, from the plan to the opened key, in which nothing is lost or rewritten.

plan.json        what everyone may see, with the commitment
key.sealed       which option hides behind which code
records.jsonl    what was recorded, in the order it came in, chained
log.jsonl        who drew a card, closed or opened, and when, chained
set_aside.jsonl  what could not be counted: refused or late records, unfinished lines
opened.json      the key in plain, once it is open
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Literal

from forkwright.trial import cautions, journal
from forkwright.trial.folder_files import Kept, read_kept, read_log, read_plan
from forkwright.trial.plan import make_plan
from forkwright.trial.progress import standing
from forkwright.trial.records import Record, checked
from forkwright.trial.request import Request
from forkwright.trial.seal import Key, sealed, unsealed
from forkwright.trial.sizing import Tell
from forkwright.units import InputError

State = Literal["running", "closed", "open"]
Clock = Callable[[], datetime]


@dataclass(frozen=True)
class Receipt:
    """What became of one record that was sent."""

    id: str
    status: Literal["kept", "already kept", "set aside"]
    reason: str = ""


def now() -> datetime:
    """Return the time now, in UTC."""
    return datetime.now(UTC)


class Trial:
    """A trial in its folder. It shows codes and labels; settings come out by `cards` and `closing` alone.

    Parameters
    ----------
    folder : str or Path
        Where the trial lies.
    clock : callable
        Returns the time now, with its time zone.

    Raises
    ------
    InputError
        If there is no readable plan in the folder.
    """

    def __init__(self, folder: str | Path, clock: Clock = now) -> None:
        self.folder = Path(folder)
        self._clock = clock
        self.plan = read_plan(self.folder / "plan.json")

    @classmethod
    def planned(
        cls,
        request: Request,
        folder: str | Path,
        *,
        admissible: cautions.Admissible,
        seed: int | None = None,
        salt: bytes | None = None,
        clock: Clock = now,
        tell: Tell | None = None,
    ) -> Trial:
        """Draw a plan and lay it into a new folder. Raises InputError; see `make_plan`."""
        place = Path(folder)
        if (place / "plan.json").exists():
            raise InputError("there is a trial already; a plan is never drawn twice", file=str(place))
        plan, key = make_plan(
            request, admissible=admissible, planned_at=clock(), seed=seed, salt=salt, tell=tell
        )
        place.mkdir(parents=True, exist_ok=True)
        with journal.held(place):
            journal.write_whole(place / "key.sealed", sealed(key))
            journal.write_whole(place / "plan.json", plan.model_dump_json(indent=1) + "\n")
            trial = cls(place, clock)
            trial.log_event("planned", plan.request.leader, commitment=plan.commitment)
        return trial

    @property
    def state(self) -> State:
        """Whether records are taken ("running"), closed, or the key is open."""
        events = {event["event"] for event in self.log()}
        if "opened" in events:
            return "open"
        return "closed" if "closed" in events else "running"

    @property
    def broken_at(self) -> datetime | None:
        """When the blind was first broken, or None."""
        times = [event["at"] for event in self.log() if event["event"] == "broken blind"]
        return datetime.fromisoformat(times[0]) if times else None

    def log(self) -> tuple[dict[str, Any], ...]:
        """Return the log: who did what, and when."""
        return read_log(self.folder / "log.jsonl")

    def kept(self) -> tuple[Kept, ...]:
        """Return the records in the order they came in."""
        return read_kept(self.folder / "records.jsonl")

    def records(self) -> tuple[Record, ...]:
        """Return the records that stand: corrected ones are replaced by their corrections."""
        return standing([kept.record for kept in self.kept()])

    def set_aside(self) -> tuple[dict[str, Any], ...]:
        """Return what could not be counted, with the reasons."""
        return journal.read_lines(self.folder / "set_aside.jsonl").entries

    def tampering(self) -> tuple[str, ...]:
        """Name every journal that was changed by other means than this program, and where."""
        found = []
        for name in ("records.jsonl", "log.jsonl"):
            line = journal.read_lines(self.folder / name).broken_at
            if line is not None:
                found.append(f"{name} was changed by hand: line {line} does not fit its chain")
        promised = [event.get("commitment") for event in self.log() if event["event"] == "planned"]
        if promised and promised[0] != self.plan.commitment:
            found.append("plan.json was changed by hand: its commitment is not the one logged at planning")
        return tuple(found)

    def add(self, records: Iterable[Record]) -> list[Receipt]:
        """Keep records; safely on disk when this returns. Sending the same record again changes nothing.

        A record that does not fit the plan, comes after closing, or uses the id of another one is set aside
        with its reason and its content: it does not count, but it is not lost.
        """
        with journal.held(self.folder):
            known = {kept.record.id: kept.record for kept in self.kept()}
            running = self.state == "running"
            receipts, keep, aside = [], [], []
            for record in records:
                reason = self._reason_against(record, known, running)
                if known.get(record.id) == record:
                    receipts.append(Receipt(record.id, "already kept"))
                elif reason:
                    receipts.append(Receipt(record.id, "set aside", reason))
                    aside.append({"why": reason, "record": record.model_dump(mode="json")})
                else:
                    known[record.id] = record
                    keep.append(record.model_dump(mode="json", exclude_defaults=True))
                    receipts.append(Receipt(record.id, "kept"))
            received = self._clock().isoformat()
            self._append("records.jsonl", [{"received": received, "record": record} for record in keep])
            before = self.set_aside()
            self._append("set_aside.jsonl", [entry for entry in aside if entry not in before])
        return receipts

    def now(self) -> datetime:
        """Return the time now, by the trial's clock."""
        return self._clock()

    def opened_key(self) -> Key:
        """Return the key of a trial that is open. Raises InputError if it is not."""
        if self.state != "open":
            raise InputError(f"the trial is {self.state}: close and open it first", file=str(self.folder))
        return self.sealed_key()

    def sealed_key(self) -> Key:
        """Return the key, held against its commitment: for `cards` and `closing` only, never for a page."""
        path = self.folder / "key.sealed"
        try:
            text = path.read_text(encoding="utf-8")
        except (OSError, UnicodeDecodeError) as fault:
            raise InputError("the sealed key is missing", file=str(path)) from fault
        return unsealed(text, self.plan.commitment, str(path))

    def log_event(self, event: str, by: str, **more: object) -> None:
        """Add an event to the log; the folder must be held."""
        self._append("log.jsonl", [{"event": event, "by": by, "at": self._clock().isoformat(), **more}])

    def _reason_against(self, record: Record, known: dict[str, Record], running: bool) -> str:
        if record.id in known:
            return "another record has this id already"
        if not running:
            return "came after the records were closed"
        if record.replaces:
            earlier = known.get(record.replaces)
            if earlier is None or earlier.kind != record.kind:
                return f"replaces: no {record.kind} record with id {record.replaces!r} is kept"
        try:
            checked(record, self.plan)
        except InputError as fault:
            return str(fault)
        return ""

    def _append(self, name: str, entries: list[dict[str, Any]]) -> None:
        if entries:
            journal.append(self.folder / name, entries, self.folder / "set_aside.jsonl")
