"""A workbench at random: two browsers edit, undo, ask and break off; nothing is lost, nothing is mixed up."""

from __future__ import annotations

import json
import tempfile
import time
import tomllib
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import httpx
import numpy as np
import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule
from tests.app_visitor import PLACE, Visitor, portal
from tests.fuzz.spoiling import EXTREMES, spoiled

from forkwright.app import Options, create_app
from forkwright.app.navigation import discover
from forkwright.bench.spring import spring_curve
from forkwright.hardware import Unit, read_text
from forkwright.physics import Unphysical
from forkwright.units import InputError

DEMO = Path(__file__).parents[2] / "src" / "forkwright" / "demo"
TEXTS = {
    name: (DEMO / f"{name}.toml").read_text(encoding="utf-8")
    for name in ("dunlin-160", "plover-160", "linnet-65", "pipit-65", "rider", "bike")
}
WHO = st.sampled_from(("north", "south"))
SLOT = st.sampled_from(("a", "b"))
SOUND = (
    ("setting.pressure", ("60 psi", "84.5 psi", "6 bar", "119 psi")),
    ("setting.spacers", (0, 1, 3)),
    ("setting.rebound", (0, 5, 9)),
    ("air_spring.bore", ("31.9 mm", "32.1 ± 0.05 mm", "1.26 in")),
    ("air_spring.positive_volume", ("230 ml", "190 ± 4 ml")),
    ("air_spring.spacers", ({"volume": "5 ml", "max_count": 4}, None)),
    ("damper.oil.density", ("870 kg/m3", None)),
    ("name", ("Wren", "Зоя 🚵", 'a "quoted" name')),
    ("bumpers.bottom_out.length", ("8 mm", None)),
)
RIGHT = st.sampled_from([(key, value) for key, values in SOUND for value in values])
ANYTHING = st.tuples(
    st.sampled_from([key for key, _ in SOUND] + ["travel", "kind", "setting", "a.b.c", "", "x" * 90]),
    st.sampled_from(
        [*EXTREMES, "3 mm", "1e9 psi", "ten", [], {}, [None], True, None, 99, -1, 0.5, "half \ud800"]
    ),
)
PAGES = tuple(entry.page.path for entry in discover())


@dataclass
class Draft:
    """One file on a bench, as a browser holds it: its text, what was changed since, and the steps back."""

    text: str
    name: str
    edits: dict[str, Any] = field(default_factory=dict)
    back: list[tuple[str, dict[str, Any]]] = field(default_factory=list)
    forth: list[tuple[str, dict[str, Any]]] = field(default_factory=list)

    def sent(self) -> dict[str, Any]:
        return {"toml": self.text, "edits": self.edits, "name": self.name}

    def step(self, text: str, edits: dict[str, Any]) -> None:
        self.back.append((self.text, self.edits))
        self.forth.clear()
        self.text, self.edits = text, edits

    def go(self, source: list[tuple[str, dict[str, Any]]], kept: list[tuple[str, dict[str, Any]]]) -> None:
        if source:
            kept.append((self.text, self.edits))
            self.text, self.edits = source.pop()


@dataclass
class Bench:
    """One browser: who talks to the server, two drafts, the jobs handed in, and the last answers."""

    visitor: Visitor
    drafts: dict[str, Draft]
    jobs: list[str] = field(default_factory=list)
    answers: dict[str, tuple[int, bytes]] = field(default_factory=dict)


class Workbench(RuleBasedStateMachine):
    """Random questions of two browsers to one server that may be started anew in between."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = tempfile.TemporaryDirectory(prefix="workbench-machine-")
        self.door = portal()
        self.loop = self.door.__enter__()
        self.app = self.new_app()
        self.benches = {name: self.new_bench(first) for name, first in (("north", 0), ("south", 1))}

    def new_app(self) -> Any:
        place = Path(self.folder.name)
        store = str(place / "shop.sqlite3")
        return create_app(Options(warm_up=False, kept_units=3, trials=place / "trials", store=store))

    def stop_app(self) -> None:
        self.app.state.jobs.close()
        self.app.state.store_door.close()

    def new_bench(self, first: int) -> Bench:
        names = ("dunlin-160", "plover-160")
        visitor = Visitor(self.loop, self.app, PLACE, f"127.0.0.{first + 2}")
        drafts = {slot: Draft(TEXTS[names[(first + i) % 2]], f"{slot}.toml") for i, slot in enumerate("ab")}
        assert visitor.get("/").status_code == 307
        return Bench(visitor, drafts)

    # What a browser does to its own drafts.

    @rule(who=WHO, slot=SLOT, edit=RIGHT)
    def change(self, who: str, slot: str, edit: tuple[str, Any]) -> None:
        draft = self.benches[who].drafts[slot]
        self.read_the_spring(who, slot)
        draft.step(draft.text, draft.edits | {edit[0]: edit[1]})
        self.read_the_spring(who, slot)

    @rule(who=WHO, slot=SLOT, edit=ANYTHING, noticed=st.booleans())
    def mistype(self, who: str, slot: str, edit: tuple[str, Any], noticed: bool) -> None:
        """What is wrong is said; what is taken back leaves no trace."""
        draft = self.benches[who].drafts[slot]
        before = self.answer(self.benches[who], "/api/fork", self.fork_question(draft))
        draft.step(draft.text, draft.edits | {edit[0]: edit[1]})
        self.read_the_spring(who, slot)
        if noticed:
            draft.go(draft.back, draft.forth)
            assert self.answer(self.benches[who], "/api/fork", self.fork_question(draft)) == before

    @rule(who=WHO, slot=SLOT, times=st.integers(1, 4))
    def undo(self, who: str, slot: str, times: int) -> None:
        draft = self.benches[who].drafts[slot]
        for _ in range(times):
            draft.go(draft.back, draft.forth)

    @rule(who=WHO, slot=SLOT)
    def redo(self, who: str, slot: str) -> None:
        draft = self.benches[who].drafts[slot]
        draft.go(draft.forth, draft.back)

    @rule(who=WHO, slot=SLOT)
    def start_afresh(self, who: str, slot: str) -> None:
        draft = self.benches[who].drafts[slot]
        draft.step(TEXTS["dunlin-160"], {})

    @rule(
        who=WHO,
        slot=SLOT,
        name=st.sampled_from(sorted(TEXTS)),
        seed=st.integers(0, 5000),
        whole=st.booleans(),
    )
    def bring_in_a_file(self, who: str, slot: str, name: str, seed: int, whole: bool) -> None:
        bench = self.benches[who]
        text = TEXTS[name] if whole else spoiled(TEXTS[name], seed).encode("utf-8", "replace").decode()
        found = self.ask(bench, "/api/import", {"text": text, "name": name})
        if found is not None:
            assert found["toml"] == text.removeprefix("\ufeff")
            if found["kind"] in ("fork", "shock"):
                bench.drafts[slot].step(found["toml"], {})

    # What it asks the benches.

    @rule(who=WHO, slot=SLOT)
    def read_the_spring(self, who: str, slot: str) -> None:
        bench, draft = self.benches[who], self.benches[who].drafts[slot]
        found = self.ask(bench, "/api/fork", self.fork_question(draft))
        truth = own_curve(bench, draft, self.ask)
        assert (found is None) == (truth is None), "the page and the file disagree about what can be computed"
        if found is not None and truth is not None:
            unit, curve = truth
            assert found["name"] == unit.name
            np.testing.assert_allclose(found["spring"]["force_N"], curve.force, rtol=1e-9, atol=1e-9)

    @rule(who=WHO, slot=SLOT, speed=st.sampled_from((-3.0, 0.0, 0.4, 10.0)))
    def ask_the_damper(self, who: str, slot: str, speed: float) -> None:
        bench = self.benches[who]
        draft = bench.drafts[slot].sent()
        whole = self.ask(bench, "/api/damper", {"fork": draft})
        if whole is not None:
            force = np.array(whole["damping"]["force_N"])
            assert np.all(np.diff(force) >= -1e-6 * np.abs(force).max())
        self.ask(bench, "/api/damper/speed", {"fork": draft, "speed_m_s": speed})
        self.ask(bench, "/api/damper/stacks", {"fork": draft})

    @rule(who=WHO)
    def set_side_by_side(self, who: str) -> None:
        bench = self.benches[who]
        people = {"rider": {"toml": TEXTS["rider"]}, "bike": {"toml": TEXTS["bike"]}}
        self.ask(bench, "/api/compare/side", {"fork": bench.drafts["b"].sent(), **people})
        self.ask(bench, "/api/show", {"forks": [draft.sent() for draft in bench.drafts.values()], **people})

    @rule(who=WHO, slot=SLOT)
    def see_the_form(self, who: str, slot: str) -> None:
        bench = self.benches[who]
        self.ask(bench, "/api/form", {"draft": bench.drafts[slot].sent()})

    @rule(who=WHO, path=st.sampled_from(PAGES))
    def open_a_page(self, who: str, path: str) -> None:
        bench = self.benches[who]
        token = bench.visitor.cookies["forkwright_bench"]
        assert bench.visitor.get(path).status_code == 200
        assert bench.visitor.cookies["forkwright_bench"] == token

    @rule(who=WHO, slot=SLOT)
    def keep_it_as_a_file(self, who: str, slot: str) -> None:
        """What is exported holds every change, and lies on the bench again as the same unit."""
        bench, draft = self.benches[who], self.benches[who].drafts[slot]
        found = self.ask(bench, "/api/export", {"draft": draft.sent()})
        if found is None:
            return
        written = tomllib.loads(found["toml"])
        for key, value in draft.edits.items():
            inner = [later for later in draft.edits if later.startswith(f"{key}.")]
            if not inner:
                assert _at(written, key) == value, key
        again = self.ask(bench, "/api/import", {"text": found["toml"], "name": draft.name})
        assert again is not None
        assert again["name"] == found["name"]

    # Heavy work, and what the other browser may know of it.

    @rule(who=WHO)
    def hand_in_a_match(self, who: str) -> None:
        bench = self.benches[who]
        question = {slot: draft.sent() for slot, draft in bench.drafts.items()}
        people = {"rider": {"toml": TEXTS["rider"]}, "bike": {"toml": TEXTS["bike"]}}
        found = self.ask(bench, "/api/match", {**question, **people})
        if found is not None:
            bench.jobs.append(found["job"])

    @precondition(lambda self: any(bench.jobs for bench in self.benches.values()))
    @rule(who=WHO, wait=st.booleans())
    def look_after_a_job(self, who: str, wait: bool) -> None:
        bench = self.benches[who]
        if not bench.jobs:
            return
        place = f"/api/jobs/{bench.jobs[-1]}"
        if not wait:
            assert bench.visitor.delete(place).status_code == 200
        until = time.monotonic() + 60.0
        while (account := sound(bench.visitor.get(place)))["state"] in ("waiting", "running"):
            assert time.monotonic() < until, account
            time.sleep(0.01)
        assert account["state"] in ("done", "failed", "cancelled")
        assert account["state"] != "failed" or "fault of ours" not in str(account["failure"])
        shown = bench.visitor.get(f"{place}/result")
        assert (shown.status_code == 200) == (account["state"] == "done")
        sound(shown)

    @rule()
    def both_at_once(self) -> None:
        """Two browsers ask in the same moment; each gets the answer that it gets alone."""
        asked = [(bench, self.fork_question(bench.drafts["a"])) for bench in self.benches.values()]
        alone = [self.answer(bench, "/api/fork", body) for bench, body in asked]
        with ThreadPoolExecutor(8) as threads:
            sent = [threads.submit(self.answer, bench, "/api/fork", body) for bench, body in asked * 4]
            together = [one.result() for one in sent]
        assert together == alone * 4

    @rule()
    def start_the_server_anew(self) -> None:
        """A restart takes the jobs with it, and nothing else."""
        self.stop_app()
        self.app = self.new_app()
        for number, bench in enumerate(self.benches.values()):
            fresh = Visitor(self.loop, self.app, PLACE, f"127.0.0.{number + 2}")
            fresh.cookies.update(bench.visitor.cookies)
            bench.visitor = fresh
            bench.jobs.clear()

    @invariant()
    def nobody_sees_the_other_s_jobs(self) -> None:
        north, south = self.benches.values()
        assert north.visitor.cookies["forkwright_bench"] != south.visitor.cookies["forkwright_bench"]
        for mine, other in ((north, south), (south, north)):
            listed = {job["key"] for job in sound(mine.visitor.get("/api/jobs"))["jobs"]}
            assert listed >= set(mine.jobs[-5:])
            assert not listed & set(other.jobs)
            if other.jobs:
                assert mine.visitor.get(f"/api/jobs/{other.jobs[-1]}").status_code == 422
                assert mine.visitor.delete(f"/api/jobs/{other.jobs[-1]}").status_code == 422

    def teardown(self) -> None:
        self.stop_app()
        self.door.__exit__(None, None, None)
        self.folder.cleanup()

    def fork_question(self, draft: Draft) -> dict[str, Any]:
        people = {"rider": {"toml": TEXTS["rider"]}, "bike": {"toml": TEXTS["bike"]}}
        return {"fork": draft.sent(), **people}

    def answer(self, bench: Bench, path: str, body: dict[str, Any]) -> tuple[int, bytes]:
        sent = json.dumps(body).encode()  # as a browser writes it: half letters escaped
        answered = bench.visitor.post(path, content=sent, headers={"content-type": "application/json"})
        sound(answered)
        return answered.status_code, answered.content

    def ask(self, bench: Bench, path: str, body: dict[str, Any]) -> Any:
        """Ask; the same question gets the same answer as ever before, whatever happened since."""
        status, content = self.answer(bench, path, body)
        if path != "/api/match":
            key = path + json.dumps(body, sort_keys=True)
            assert bench.answers.setdefault(key, (status, content)) == (status, content)
        return json.loads(content) if status == 200 else None


def own_curve(bench: Bench, draft: Draft, ask: Any) -> tuple[Unit, Any] | None:
    """Return the unit and the curve that the exported file has on the virtual bench, without the server."""
    found = ask(bench, "/api/export", {"draft": draft.sent()})
    if found is None:
        return None
    try:
        unit = read_text(found["toml"], draft.name)
        return (unit, spring_curve(unit)) if isinstance(unit, Unit) else None
    except (InputError, Unphysical):
        return None


def sound(answered: httpx.Response) -> Any:
    """Return an answer's JSON: never a fault of ours, never a number that is none, never without words."""
    assert answered.status_code in (200, 422), f"{answered.status_code}: {answered.text[:300]}"
    found = json.loads(answered.content, parse_constant=lambda word: pytest.fail(f"{word} in an answer"))
    if answered.status_code == 422:
        assert found["error"].strip()
        assert "Traceback" not in answered.text
    return found


def _at(table: Any, key: str) -> Any:
    """Return what stands under a dotted key; None when nothing does."""
    for part in key.split("."):
        if not isinstance(table, dict) or part not in table:
            return None
        table = table[part]
    return table


CALM = [HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large]
WorkbenchAtRandom = Workbench.TestCase
WorkbenchAtRandom.settings = settings(
    max_examples=60, stateful_step_count=40, deadline=None, suppress_health_check=CALM
)
WorkbenchAtRandom.pytestmark = [pytest.mark.slow]
