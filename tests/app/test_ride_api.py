"""The Ride page's calls without a browser: the command line's numbers and words, limits, jobs, files."""

from __future__ import annotations

import multiprocessing
import time
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from tests.app_rides import DEMO, VISITOR, WHO, YARD, command_line, draft, ended, question, ridden
from tests.app_server import ask_everything, running_workbench

from forkwright.app import Options
from forkwright.app.apart import apart
from forkwright.app.drafts import Draft, DraftReader
from forkwright.app.ride import ground
from forkwright.app.ride.answer_shapes import RidableCourse, RideAnswer
from forkwright.app.ride.ground import read_ground
from forkwright.app.ride.questions import RideQuestion
from forkwright.app.ride.ride_job import Riders, ride_job
from forkwright.app.ride.score_words import ENERGY, SCORES
from forkwright.app.visitors import COOKIE
from forkwright.ride.answers import course_answer
from forkwright.ride.course_file import load_course
from forkwright.ride.scores import Scores
from forkwright.units import InputError, UnitChoice


def test_a_ride_holds_the_command_lines_numbers(client: Any, tmp_path: Path) -> None:
    """All that `forkwright ride --json` prints for the exported fork stands in the answer, digit by digit."""
    fork = draft(setting__pressure="78 psi", setting__rebound=4)
    (tmp_path / "yard.toml").write_text(YARD, encoding="utf-8")
    exported = client.post("/api/export", json={"draft": fork}).json()["toml"]
    (tmp_path / "fork.toml").write_text(exported, encoding="utf-8")
    printed = command_line(
        "ride", str(tmp_path / "fork.toml"), "--course", str(tmp_path / "yard.toml"), *WHO,
        "--tyre-pressure", "22 psi", "--limbs", "--temp", "5 °C", "--check-step",
    )  # fmt: skip
    asked = question(fork=fork, tyre_pressure="22 psi", limbs=True, day={"temperature": "5 °C"})
    found = ridden(client, asked | {"check_step": True})
    change = printed.pop("half_step_change")
    assert found["sides"][0]["ride"] == printed
    assert found["sides"][0]["half_step_change"] == change > 0.0
    assert f"changes by more than {change:.2%}" in found["sentences"][-2]
    without = ridden(client, asked)
    assert without["sides"][0]["half_step_change"] is None
    assert without["sentences"] == [*found["sentences"][:-2], found["sentences"][-1]]


def test_a_damping_table_rides_as_on_the_command_line(client: Any, tmp_path: Path) -> None:
    """`--damping` from the page, on both sides; a table that is none is named by its file and line."""
    csv = "speed_m_s,force_N\n-2,-900\n0,0\n2,1200\n"
    (tmp_path / "damping.csv").write_text(csv, encoding="utf-8")
    (tmp_path / "yard.toml").write_text(YARD, encoding="utf-8")
    printed = command_line(
        "ride", str(DEMO / "dunlin-160.toml"), "--course", str(tmp_path / "yard.toml"), *WHO,
        "--damping", str(tmp_path / "damping.csv"),
    )  # fmt: skip
    table = {"name": "damping.csv", "csv": csv}
    found = ridden(client, question(damping=table, against=draft()))
    assert [side["ride"] for side in found["sides"]] == [printed, printed]
    wrong = question(damping=table | {"csv": csv.replace("1200", "a")})
    answered = client.post("/api/ride", json=wrong, headers=VISITOR)
    assert answered.status_code == 422
    assert answered.json()["error"].startswith("damping.csv, line 4: not a pair of numbers")


def test_an_answer_has_the_documented_shape(client: Any) -> None:
    """Two rides are what the API describes; histories are of one length, thinned as they say, and go with the
    scores; B less A is their difference."""
    found = ridden(client, question(against=draft(setting__pressure="70 psi")))
    told = RideAnswer.model_validate(found)
    assert told.difference is not None
    assert set(told.difference) == {score.key for score in SCORES}
    for side in told.sides:
        columns = [value for value in side.history.model_dump().values() if isinstance(value, list)]
        assert {len(column) for column in columns} == {len(side.history.time_s)}
        steps = np.diff(side.history.time_s)
        assert steps == pytest.approx(side.history.every_steps * side.ride["step_s"], abs=2e-5)
        assert max(side.history.travel_m) <= side.ride["greatest_travel_m"] + 5e-6
        assert side.hits[0].travel_m == side.ride["greatest_travel_m"]
        assert set(side.ride["energy_J"]) == {key for key, _, _ in ENERGY}  # each has its words on the page
    a, b = (side.ride for side in told.sides)
    assert told.difference["riding_sag_m"] == b["riding_sag_m"] - a["riding_sag_m"] > 0.0
    assert "B rides deeper by" in told.sentences[0]


def test_the_drawn_wheel_dents_the_drawn_ground_as_the_tyre_gives(client: Any) -> None:
    """A disc at the drawn axle cuts into the drawn ground by the computed tyre deflection, within 13 mm: the
    model's contact patch takes a mean over 80 mm that the drawing does not show."""
    found = ridden(client, question(course={"demo": "heather-traverse"}))
    trail, figure, h = found["trail"], found["sides"][0]["figure"], found["sides"][0]["history"]
    radius, sink = figure["wheel_radius_m"], figure["tyre_sink_m"]
    place = trail["from_m"] + trail["spacing_m"] * np.arange(len(trail["height_m"]))
    height = np.array(trail["height_m"])
    off = []
    for x, wheel, ground_height in zip(h["distance_m"], h["wheel_height_m"], h["ground_m"], strict=True):
        near = slice(*np.searchsorted(place, (x - radius, x + radius)))
        axle = wheel + radius - sink
        dent = max(radius - np.hypot(place[near] - x, height[near] - axle).min(), 0.0)
        off.append(dent - max(sink - (wheel - ground_height), 0.0))
    assert np.abs(off).max() < 13e-3
    assert np.percentile(np.abs(off), 98) < 3e-3
    assert trail["event_kind"].count("root") == 4


def test_a_first_ride_is_a_job_and_later_ones_are_answered_at_once(client: Any) -> None:
    """A server that has not loaded the kernel hands out a job; its result is the later answer at once."""
    first = client.post("/api/ride", json=question(), headers=VISITOR).json()
    account = ended(client, first["job"])
    assert account["state"] == "done"
    result = client.get(f"/api/jobs/{first['job']}/result", headers=VISITOR).json()
    again = client.post("/api/ride", json=question(), headers=VISITOR).json()
    assert again == result
    stranger = client.get(f"/api/ride/jobs/{first['job']}", headers={"cookie": f"{COOKIE}={'s' * 32}"})
    assert stranger.status_code == 422


def test_a_slow_ride_is_ended_at_once_and_leaves_no_process(client: Any) -> None:
    """A ride with the oil's pressures runs in a process of its own, which goes when it is cancelled."""
    asked = question(oil_chambers=True, course={"demo": "heather-traverse"})
    key = client.post("/api/ride", json=asked, headers=VISITOR).json()["job"]
    until = time.monotonic() + 30.0
    while not multiprocessing.active_children() and time.monotonic() < until:
        time.sleep(0.02)
    assert multiprocessing.active_children()
    client.app.state.jobs.cancel("r" * 32, key)
    assert ended(client, key)["state"] == "cancelled"
    assert not multiprocessing.active_children()


@pytest.mark.slow
def test_a_ride_in_a_process_of_its_own_gives_the_same() -> None:
    """The answer from another process is the one worked out here, and so is what is wrong with a ride."""
    who = Riders(*(DraftReader(8).unit(Draft(**draft())) for _ in range(2)), *people())
    asked = RideQuestion(**question(against=draft()))
    course = read_ground(asked.course)
    told: list[str] = []
    tell = lambda _share, words: told.append(words)  # noqa: E731 - a few words
    found = apart(ride_job, who, course, asked, UnitChoice(), tell=tell)
    assert found == ride_job(who, course, asked, UnitChoice(), tell)
    assert any("so far" in words for words in told)
    wrong = asked.model_copy(update={"tyre_pressure": "900 psi"})
    with pytest.raises(InputError, match="tyre pressure: out of range"):
        apart(ride_job, who, course, wrong, UnitChoice(), tell=tell)


def people() -> tuple[Any, Any]:
    """Return the demonstration's rider and bike."""
    reader = DraftReader(8)
    return reader.rider(Draft(**draft("rider"))), reader.bike(Draft(**draft("bike")))


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"tyre_pressure": "900 psi"}, "tyre pressure: out of range"),
        ({"day": {"temperature": "900 °C"}}, "temperature: out of range"),
        ({"oil_temperature": "3 mm"}, "measures length"),
        ({"fork": draft(setting__pressure="300 psi")}, "over the stated pressure limit"),
        ({"against": draft("linnet-65")}, "a fork and a shock are not ridden against each other"),
        ({"course": {"demo": "nowhere"}}, "no such course"),
        (
            {"course": {"toml": YARD.replace("12 m", "99 m"), "name": "y.toml"}},
            "beyond the end of the course",
        ),
        ({"course": {"toml": YARD.replace("250 mm", "9 m"), "name": "y.toml"}}, "y.toml, line 17"),
        ({"course": {"toml": YARD.replace("6 m/s", "0.4 m/s").replace("30 m", "600 m")}}, "up to 1200 s"),
        ({"from_s": -1.0}, "from_s"),
        ({"surprise": 1}, "surprise"),
    ],
)
def test_wrong_questions_are_answered_in_words(client: Any, more: dict[str, Any], words: str) -> None:
    """What cannot be ridden is refused with 422 and the sentence the command line has for it."""
    answered = client.post("/api/ride", json=question(**more))
    assert answered.status_code == 422
    assert words in answered.json()["error"]


def profile(text: str, **more: Any) -> dict[str, Any]:
    """Return the choice of a measured profile."""
    return {"profile": {"csv": text, "file": "run.csv", **more}}


ROWS = "distance_m,elevation_m\n" + "".join(f"{at / 50},{(at % 40) / 2000}\n" for at in range(1000))


def test_a_measured_profile_is_read_as_the_command_line_imports_it(client: Any, tmp_path: Path) -> None:
    """A CSV alone is the course that `forkwright course --import` makes of it; a course file says its own."""
    (tmp_path / "run.csv").write_text(ROWS, encoding="utf-8")
    target = tmp_path / "run.toml"
    printed = command_line(
        "course", str(tmp_path / "run.csv"), "--import", str(target), "--speed", "4 m/s", "--smoothing", "5 m"
    )
    alone = client.post("/api/ride/course", json=profile(ROWS, speed="4 m/s", smoothing="5 m")).json()
    assert alone == printed == course_answer(load_course(target))
    RidableCourse.model_validate(alone)
    both = profile(ROWS) | {"toml": target.read_text(encoding="utf-8"), "name": "run.toml"}
    assert client.post("/api/ride/course", json=both).json() == printed


@pytest.mark.parametrize(
    ("choice", "words"),
    [
        (profile(ROWS.replace("0.02,", "x,", 1)), "run.csv, line 3: not a pair of numbers"),
        (profile("a,b\n1,2\n"), "run.csv, line 1: distance_m: missing column"),
        (profile(" "), "run.csv: the file is empty"),
        (profile(ROWS, speed="4 psi"), "measures pressure"),
        (profile(ROWS) | {"profile": {"csv": ROWS, "file": "../run.csv"}}, "without a folder"),
        (profile(ROWS) | {"toml": 'format=1\nkind="course"\nname="x"\n[profile]\nfile="other.csv"\n'
                                  '[[speed]]\nat="0 m"\nspeed="4 m/s"\n'}, "cannot be read"),
        ({"toml": 'format=1\nkind="course"\nname="x"\n[profile]\nfile="other.csv"\n'
                  '[[speed]]\nat="0 m"\nspeed="4 m/s"\n'}, "beside its course file"),
    ],
)  # fmt: skip
def test_a_wrong_profile_is_refused_by_file_and_line(client: Any, choice: dict[str, Any], words: str) -> None:
    """The sentence names the file as the browser named it, and no place on the server."""
    answered = client.post("/api/ride/course", json=choice)
    assert answered.status_code == 422
    assert words in answered.json()["error"]
    assert "/tmp" not in answered.json()["error"]


def test_bodies_over_the_limit_are_refused(client: Any) -> None:
    """A profile may be larger than any other question of the workbench, but not larger than is said."""
    padded = ROWS + "\n" * (Options().body_limit + 1)
    assert client.post("/api/ride/course", json=profile(padded)).status_code == 200
    over = "x" * (ground.LARGEST_CSV + 1)
    assert "csv" in client.post("/api/ride/course", json=profile(over)).json()["error"]
    assert client.post("/api/ride", content=b"x" * (13 * 1024 * 1024)).status_code == 413


def test_every_score_has_its_words() -> None:
    """Each number a ride is scored by has a title, a unit, a meaning and a source, and stands in the docs."""
    numbers = {name for name, kind in Scores.__annotations__.items() if "Array" not in str(kind)}
    assert {score.key for score in SCORES} == numbers
    docs = (DEMO.parents[2] / "docs" / "ride.md").read_text(encoding="utf-8")
    for score in SCORES:
        assert score.title
        assert score.meaning
        assert score.source
        assert score.kind or score.unit
        assert f"`{score.key}`" in docs or score.key == "duration_s"


def test_the_calls_are_described(client: Any) -> None:
    """OpenAPI names every call of the page with its answer's shape."""
    paths = client.get("/openapi.json").json()["paths"]
    for path, method, shape in (
        ("/api/ride", "post", "RideReply"),
        ("/api/ride/course", "post", "RidableCourse"),
        ("/api/ride/bench", "post", "SettingOnBench"),
        ("/api/ride/sweep", "post", "JobTaken"),
        ("/api/ride/sweep/{key}", "get", "SweepAnswer"),
        ("/api/ride/jobs/{key}", "get", "RideAnswer"),
    ):
        called = paths[path][method]
        schema = called["responses"]["200"]["content"]["application/json"]["schema"]
        assert schema["$ref"].endswith(f"/{shape}")
        assert called["description"]


@pytest.mark.slow
def test_every_call_survives_what_its_description_allows_and_forbids(tmp_path: Path) -> None:
    """Questions made from the calls' own description, right and wrong ones, meet no fault of the server's."""
    with running_workbench(tmp_path / "book.sqlite3") as address:
        assert ask_everything(address, lambda path: path.startswith("/api/ride"), 25, 11) > 100
