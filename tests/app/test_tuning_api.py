"""Match and Recommend by a log that was brought in, and with the shims that a shop has, by their calls."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from tests.app_rides import ended
from tests.command_line import Cli, answered
from tests.short_course import SHORT

from forkwright.app.tuning.drawer import drawer_from
from forkwright.units import InputError

ME, OTHER = "c" * 32, "d" * 32
Ask = Callable[..., Any]


@pytest.fixture
def ask(client: Any) -> Ask:
    """Ask a call as one browser; a job is waited for, and its result is the answer."""

    def asked(path: str, question: Any, *, visitor: str = ME, status: int = 200) -> Any:
        cookies = {"cookie": f"forkwright_bench={visitor}"}
        reply = client.post(path, json=question, headers=cookies)
        assert reply.status_code == status, reply.text
        answer = reply.json()
        if "job" not in answer:
            return answer
        account = ended(client, answer["job"], 120.0, headers=cookies)
        assert account["state"] == "done", account
        return client.get(f"/api/jobs/{answer['job']}/result", headers=cookies).json()

    return asked


@pytest.fixture
def log(client: Any, ask: Ask, demo: Path) -> str:
    """Bring a demonstration log in, read it as proposed, and return its key."""
    path = demo / "logs" / "moor-ride-a.csv"
    reply = client.post(
        "/api/evidence/files",
        params={"name": path.name},
        content=path.read_bytes(),
        headers={"cookie": f"forkwright_bench={ME}", "content-type": "application/octet-stream"},
    )
    assert reply.status_code == 200, reply.text
    key: str = reply.json()["file"]
    looked = ask("/api/evidence/look", {"file": key})
    ask("/api/evidence/read", {"file": key, "mapping": looked["mapping"]})
    return key


def question(demo: Path, **more: Any) -> dict[str, Any]:
    """What the page asks, for the two demonstration forks."""

    def draft(name: str) -> dict[str, Any]:
        return {"toml": (demo / f"{name}.toml").read_text("utf-8"), "edits": {}}

    return {
        "a": draft("dunlin-160"), "b": draft("plover-160"), "rider": draft("rider"), "bike": draft("bike"),
        **more,
    }  # fmt: skip


def test_a_match_by_a_log_is_that_of_the_command_line(ask: Ask, log: str, demo: Path, cli: Cli) -> None:
    """A log on the Ride logs page weighs travel and speed as `forkwright match --log` does."""
    answer = ask("/api/match", question(demo, use={"kind": "log", "file": log}))
    expected = answered(
        cli, "match", demo / "dunlin-160.toml", demo / "plover-160.toml", "--log",
        demo / "logs" / "moor-ride-a.csv", "--yes",
    )  # fmt: skip
    assert answer["setting"] == expected["setting"]
    assert answer["use"] == expected["use"]
    assert answer["bands"]["adjusters"] == expected["bands"]["adjusters"]


def test_another_browsers_log_is_not_there(ask: Ask, log: str, demo: Path) -> None:
    """A log belongs to the browser that brought it in."""
    told = ask("/api/match", question(demo, use={"kind": "log", "file": log}), visitor=OTHER, status=422)
    assert "bring it in again" in told["error"]


def test_shims_are_read_a_line_at_a_time() -> None:
    """Counts may be left out, empty lines are passed over, and the first wrong line is named."""
    drawer = drawer_from("3 of 19.0 x 0.20 mm\n\n 17 x 0.15 mm ")
    assert [disc.count for disc in drawer.shims] == [3, 1]
    assert drawer.shims[1].outer_diameter.si == pytest.approx(0.017)
    for text, line in (("thin ones", 1), ("19 x 0.2 mm\n0 of 18 x 0.2 mm", 2), ("200 of 18 x 0.2 mm", 1)):
        with pytest.raises(InputError) as told:
            drawer_from(text)
        assert told.value.line == line
    with pytest.raises(InputError, match="one size a line"):
        drawer_from("  \n")


def test_a_wrong_list_of_shims_is_said_before_the_wait(ask: Ask, demo: Path) -> None:
    """No job is begun for a list that cannot be read."""
    asked = question(demo, revalve={"kind": "drawer", "shims": "16.0 x 0.20 mm\nsome more"})
    told = ask("/api/match", asked, status=422)
    assert "some more" in told["error"]
    assert told["line"] == 2


@pytest.mark.slow
def test_a_fork_is_held_against_itself_as_it_was(ask: Ask, demo: Path) -> None:
    """The page's own draft against its file: two settings of one fork, spring and damper judged."""
    both = question(demo)
    fork = both["a"] | {"edits": {"setting.pressure": "72 psi", "setting.rebound": 0, "setting.low_speed": 0}}
    asked = {"rider": both["rider"], "bike": both["bike"], "samples": 128}
    told = ask("/api/uncertainty", asked | {"fork": fork, "against": both["a"]})
    assert told["verdict"]["beyond_both_share"] > 0.2
    assert told["damping_verdict"]["beyond_both_share"] > 0.0
    same = ask("/api/uncertainty", asked | {"fork": both["a"], "against": both["a"]})
    assert same["verdict"]["beyond_tolerance_share"] == 0.0


@pytest.mark.slow
def test_a_recommendation_weighs_its_courses_by_a_log_as_the_command_line_does(
    ask: Ask, log: str, demo: Path, tmp_path: Path, cli: Cli
) -> None:
    """The log's shares, the setting found with them, and the sentence that tells them are the command's."""
    yards = []
    for name, rough in (("Smooth", "B"), ("Rough", "E")):
        path = tmp_path / f"{name}.toml"
        path.write_text(SHORT.replace('"short"', f'"{name}"').replace('"E"', f'"{rough}"'), "utf-8")
        yards.append(path)
    asked = question(demo)
    asked["fork"] = asked.pop("a")
    del asked["b"]
    courses = [{"toml": path.read_text("utf-8")} for path in yards]
    answer = ask("/api/recommend", asked | {"courses": courses, "bands": False, "log": {"file": log}})
    expected = answered(
        cli, "recommend", demo / "dunlin-160.toml", "--course", yards[0], "--course", yards[1], "--rider",
        demo / "rider.toml", "--bike", demo / "bike.toml", "--draws", "0", "--yes", "--log",
        demo / "logs" / "moor-ride-a.csv",
    )  # fmt: skip
    assert answer["log"] == expected["log"]
    assert answer["best"]["setting"] == expected["best"]["setting"]
    assert any("moor-ride-a.csv is made up best of" in words for words in answer["sentences"])
    told = ask(
        "/api/recommend", asked | {"courses": courses, "log": {"file": log}}, visitor=OTHER, status=422
    )
    assert "bring it in again" in told["error"]
