"""A workshop at random: whatever is done in whatever order, no unsafe job leaves, and nothing is lost."""

from __future__ import annotations

import itertools
import shutil
import tempfile
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import Bundle, RuleBasedStateMachine, consumes, invariant, precondition, rule
from tests.shop_samples import HARD_TEXTS, ticking

from forkwright.shop.conflicts import Conflict, change_record
from forkwright.shop.inspection import check_list, record_finding
from forkwright.shop.job_book import add_material, add_note, record_setting, sign
from forkwright.shop.jobs import MOVES, conclude, hand_over, job_by_number, move, open_job
from forkwright.shop.records import Customer, Unit
from forkwright.shop.records_job import Job, Note
from forkwright.shop.register import add_customer, add_unit
from forkwright.shop.search import board
from forkwright.shop.store import Store, delete, find
from forkwright.shop.verify import verify
from forkwright.shop.views import of_job
from forkwright.units import InputError

ITEMS = check_list("fork")
STRUCTURAL = {item.key for item in ITEMS if item.structural}
RESULTS = ("good", "worn", "stop", "not checked")
WORDS = st.sampled_from(HARD_TEXTS).filter(str.strip) | st.text(st.characters(codec="utf-8"), max_size=30)


@dataclass
class Expected:
    """What the machine believes of one job."""

    stage: str = "intake"
    results: dict[str, tuple[str, bool]] = field(default_factory=dict)  # item: result, settled
    after: bool = False
    signed: bool = False  # by a technician, and nothing that it stands for changed since
    notes: dict[str, str] = field(default_factory=dict)  # id: text

    @property
    def safe(self) -> bool:
        seen = {item for item, (result, _) in self.results.items() if result != "not checked"}
        open_findings = [r for r, settled in self.results.values() if r in ("stop", "worn") and not settled]
        return seen >= STRUCTURAL and not open_findings and self.after and self.signed


class Workshop(RuleBasedStateMachine):
    """Random work over one store on disk; the store is closed and opened again in between."""

    jobs = Bundle("jobs")
    notes = Bundle("notes")

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path(tempfile.mkdtemp(prefix="workshop-machine-"))
        self.clock = ticking()
        self.fresh = itertools.count(1)
        self.expected: dict[int, Expected] = {}
        self.store = Store.open(self.folder / "shop.sqlite3", clock=self.clock)
        with self.store.change("Ines") as session:
            owner = add_customer(session, name="Oda")
            self.owner = owner.id
            self.unit = add_unit(
                session, kind="fork", name="Dunlin 160", serial="D-1", customer_id=owner.id
            ).id

    @rule(target=jobs, complaint=WORDS)
    def take_in(self, complaint: str) -> int:
        try:
            number = self.opened(complaint)
        except InputError:  # a text that cannot be kept; its number must not be lost with it
            number = self.opened("rattles")
        assert number == max(self.expected, default=0) + 1
        self.expected[number] = Expected()
        return number

    def opened(self, complaint: str) -> int:
        with self.store.change("Ines") as session:
            return open_job(session, find(session, Unit, self.unit), complaint=complaint).number

    @rule(number=jobs, item=st.sampled_from(ITEMS), result=st.sampled_from(RESULTS))
    def inspect(self, number: int, item: object, result: str) -> None:
        key = item.key  # type: ignore[attr-defined]
        with self.store.change("Ines") as session:
            record_finding(
                session,
                job_by_number(session, number),
                item=key,
                result=result,
                remark=f"look {next(self.fresh)}",
            )
        self.expected[number].results[key] = (result, False)
        self.expected[number].signed = False

    @rule(number=jobs)
    def inspect_everything(self, number: int) -> None:
        for item in ITEMS:
            if item.structural or item.key in self.expected[number].results:
                self.inspect(number, item, "good")

    @rule(number=jobs)
    def set_up(self, number: int) -> None:
        with self.store.change("Ines") as session:
            record_setting(
                session,
                job_by_number(session, number),
                "after",
                pressure=f"{70 + next(self.fresh) / 100} psi",
            )
        self.expected[number].after = True
        self.expected[number].signed = False

    @rule(number=jobs)
    def use_oil(self, number: int) -> None:
        with self.store.change("Ines") as session:
            job = job_by_number(session, number)
            add_material(session, job, kind="oil", name="the maker's oil", amount=f"{next(self.fresh)} ml")
        self.expected[number].signed = False

    @rule(number=jobs)
    def write_what_was_done(self, number: int) -> None:
        with self.store.change("Ines") as session:
            conclude(session, job_by_number(session, number), work_done=f"service {next(self.fresh)}")
        self.expected[number].signed = False

    @rule(number=jobs, role=st.sampled_from(["technician", "technician", "customer"]))
    def put_a_name_to_it(self, number: int, role: str) -> None:
        with self.store.change("Ines") as session:
            sign(session, job_by_number(session, number), role=role, name="Ines Falk")
        self.expected[number].signed |= role == "technician"

    @rule(number=jobs, stage=st.sampled_from(sorted(MOVES)))
    def go(self, number: int, stage: str) -> None:
        expected = self.expected[number]
        allowed = stage in MOVES[expected.stage] and stage != "handed over"
        try:
            with self.store.change("Ines") as session:
                move(session, job_by_number(session, number), stage)
        except InputError:
            assert not allowed
        else:
            assert allowed
            expected.stage = stage

    @rule(number=jobs)
    def go_all_the_way(self, number: int) -> None:
        for stage in ("intake", "inspection", "work", "check", "ready"):
            if stage in MOVES[self.expected[number].stage]:
                self.go(number, stage)

    @rule(number=jobs)
    def give_it_back(self, number: int) -> None:
        expected = self.expected[number]
        may = expected.safe and expected.stage == "ready"
        try:
            with self.store.change("Ines") as session:
                hand_over(session, job_by_number(session, number))
        except InputError:
            assert not may, "a safe job was held back"
        else:
            assert may, "an unsafe job was handed over"
            expected.stage = "handed over"

    @rule(number=jobs)
    def do_everything_right(self, number: int) -> None:
        self.inspect_everything(number)
        self.set_up(number)
        self.go_all_the_way(number)
        self.put_a_name_to_it(number, "technician")
        assert self.expected[number].safe

    @rule(number=jobs)
    def from_intake_to_hand_over(self, number: int) -> None:
        self.do_everything_right(number)
        self.give_it_back(number)
        assert self.expected[number].stage in ("handed over", "cancelled")

    @rule(number=jobs, item=st.sampled_from(ITEMS), result=st.sampled_from(["stop", "worn", "not checked"]))
    def almost_everything(self, number: int, item: object, result: str) -> None:
        self.do_everything_right(number)
        self.inspect(number, item, result)
        self.put_a_name_to_it(number, "technician")
        self.give_it_back(number)

    @rule(target=notes, number=jobs, text=WORDS)
    def write(self, number: int, text: str) -> tuple[int, str]:
        try:
            with self.store.change("Ines") as session:
                note = add_note(session, job_by_number(session, number), text)
                found = note.id, note.text
        except InputError:  # blank, or a text that cannot be kept
            with self.store.change("Ines") as session:
                note = add_note(session, job_by_number(session, number), "plain")
                found = note.id, note.text
        self.expected[number].notes[found[0]] = found[1]
        return number, found[0]

    @rule(note=consumes(notes))
    def strike_out(self, note: tuple[int, str]) -> None:
        number, identity = note
        with self.store.change("Ines") as session:
            delete(session, find(session, Note, identity))
        del self.expected[number].notes[identity]

    @rule(number=jobs)
    def break_off_in_the_middle(self, number: int) -> None:
        with pytest.raises(ZeroDivisionError):
            self.half_done(number)

    def half_done(self, number: int) -> None:
        with self.store.change("Ines") as session:
            job = job_by_number(session, number)
            add_note(session, job, "half done")
            job.complaint = "never said"
            session.flush()
            raise ZeroDivisionError

    @rule()
    def two_at_once(self) -> None:
        with self.store.look() as session:
            version = find(session, Customer, self.owner).version
        first, second = f"1{next(self.fresh)}", f"2{next(self.fresh)}"
        with self.store.change("Ines") as session:
            change_record(
                session, find(session, Customer, self.owner), {"phone": first}, read_version=version
            )
        with pytest.raises(Conflict), self.store.change("Odd") as session:
            change_record(
                session, find(session, Customer, self.owner), {"phone": second}, read_version=version
            )
        with self.store.look() as session:
            assert find(session, Customer, self.owner).phone == first

    @precondition(lambda self: self.expected)
    @rule()
    def close_and_open(self) -> None:
        self.store.close()
        self.store = Store.open(self.folder / "shop.sqlite3", clock=self.clock)

    @invariant()
    def the_store_holds_what_was_done(self) -> None:
        with self.store.look() as session:
            for number, expected in self.expected.items():
                job = job_by_number(session, number)
                assert job.stage == expected.stage
                assert job.complaint != "never said"
                assert (job.closed_at is not None) == (job.stage == "handed over")
                assert {n.id: n.text for n in of_job(session, Note, job)} == expected.notes
            shown = {job.number for job in board(session)}
            closed = ("handed over", "cancelled")
            assert shown == {n for n, e in self.expected.items() if e.stage not in closed}
            assert session.query(Job).count() == len(self.expected)

    def teardown(self) -> None:
        found = verify(self.store)
        self.store.close()
        shutil.rmtree(self.folder, ignore_errors=True)
        assert found.sound, found


CALM = [HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large]
WorkshopAtRandom = Workshop.TestCase
WorkshopAtRandom.settings = settings(
    max_examples=60, stateful_step_count=40, deadline=None, suppress_health_check=CALM
)
WorkshopAtRandom.pytestmark = [pytest.mark.slow]
