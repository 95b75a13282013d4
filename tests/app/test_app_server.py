"""The server without a browser: guards, limits, errors in words, jobs and their owners, no shared state."""

from __future__ import annotations

import threading
import time
from collections.abc import AsyncIterator
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import anyio
import httpx
import pytest
from tests.app_rides import draft

from forkwright.app import Options, create_app
from forkwright.app.answer_shapes import SagAnswer, SpringAnswer
from forkwright.app.jobs import CancelledError, JobQueue, Progress
from forkwright.units import InputError

PLACE = "http://127.0.0.1:8713"


def test_answers_have_the_documented_shape(client: Any) -> None:
    """The spring and sag answers are those that the API describes, and lists are of equal length."""
    asked = {"fork": draft(), "rider": draft("rider"), "bike": draft("bike")}
    found = client.post("/api/fork", json=asked).json()
    spring = SpringAnswer.model_validate(found["spring"], strict=True)
    SagAnswer.model_validate(found["sag"])
    lists = {name: value for name, value in spring.model_dump().items() if isinstance(value, list)}
    lists.pop("warnings")
    assert {"travel_m", "force_N", "rate_N_m"} <= lists.keys()
    assert {name: len(value) for name, value in lists.items() if value} == dict.fromkeys(lists, 161)
    assert client.get("/openapi.json").json()["paths"]["/api/fork"]["post"]["tags"] == ["fork"]


def test_drawing_is_sent_only_when_it_changed(client: Any) -> None:
    """A page that names the drawing it has gets positions alone; other spacers get a new drawing."""
    first = client.post("/api/fork", json={"fork": draft()}).json()["drawing"]
    moved = draft(setting__pressure="84 psi")
    again = client.post("/api/fork", json={"fork": moved, "drawn": first["key"]}).json()["drawing"]
    assert again["svg"] is None
    assert again["motion"]["travel_mm"][-1] == 160.0
    other = draft(setting__spacers=4)
    assert client.post("/api/fork", json={"fork": other, "drawn": first["key"]}).json()["drawing"]["svg"]


@pytest.mark.parametrize(
    ("edits", "words"),
    [
        ({"setting__pressure": "300 psi"}, "over the stated pressure limit"),
        ({"setting__pressure": "3 mm"}, "measures length"),
        ({"setting__spacers": 9}, "more spacers than fit"),
        ({"air_spring__bore": "nothing"}, "not a number with a unit"),
        ({"air_spring__boar": "32 mm"}, "did you mean 'bore'"),
        ({"a.b.c.d.e.f.g.h.i.j.k": "1"}, "not a key"),
        ({"travel.deep": "1 mm"}, "a value where a table is meant"),
        ({"damper__base_valve__shims": ["4 x 0.1 mm"]}, "damper.base_valve.shims"),
    ],
)
def test_wrong_input_is_422_in_plain_words(client: Any, edits: dict[str, Any], words: str) -> None:
    """Whatever is wrong in a draft is answered with 422 and one sentence; never with a fault of ours."""
    answered = client.post("/api/fork", json={"fork": draft(**edits)})
    assert answered.status_code == 422
    assert words in answered.json()["error"]


def test_wrong_requests_are_refused_in_words(client: Any) -> None:
    """A body that is no question of ours gets 422 and names the key; a page that is not there 404."""
    assert client.post("/api/fork", json={"fork": 3}).json()["key"] == "fork"
    broken = client.post("/api/fork", content=b"\xff{", headers={"content-type": "application/json"})
    assert broken.status_code == 400
    assert broken.json()["error"]
    speed = {"fork": draft(), "speed_m_s": 99}
    assert "speed_m_s" in client.post("/api/damper/speed", json=speed).json()["error"]
    units = {"fork": draft(), "units": {"pressure": "mm"}}
    assert client.post("/api/fork", json=units).status_code == 422
    missing = client.get("/nowhere", headers={"accept": "text/html"})
    assert missing.status_code == 404
    assert "there is no such page" in missing.text
    assert client.get("/docs").status_code == 404


def test_foreign_hosts_and_sites_are_refused(client: Any) -> None:
    """A request under another host name, or asked for by another site's page, is not answered."""
    assert client.get("/fork", headers={"host": "elsewhere.example"}).status_code == 400
    foreign = client.post("/api/fork", json={"fork": draft()}, headers={"origin": "http://elsewhere.example"})
    assert foreign.status_code == 403
    own = client.post("/api/fork", json={"fork": draft()}, headers={"origin": PLACE})
    assert own.status_code == 200


def test_large_bodies_are_refused_announced_or_not(client: Any) -> None:
    """A body over the limit gets 413, with a length or streamed without one."""
    heavy = b"x" * (Options().body_limit + 1)
    assert client.post("/api/fork", content=heavy).status_code == 413

    async def streamed() -> AsyncIterator[bytes]:
        for _ in range(40):
            yield b"x" * 65536

    assert client.post("/api/fork", content=streamed()).status_code == 413


def test_every_answer_carries_the_strict_policy(client: Any) -> None:
    """Pages and answers forbid foreign scripts, styles and frames; no page holds any inline."""
    for path in ("/fork", "/api/health", "/nowhere"):
        policy = client.get(path).headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "unsafe" not in policy
    text = client.get("/fork").text
    assert "<style" not in text
    assert " style=" not in text
    assert all("src=" in tag or "application/json" in tag for tag in text.split("<script")[1:])


def test_static_files_may_be_kept_for_good(client: Any) -> None:
    """The page's script and the plotting library lie under an address with a fingerprint, kept for a year."""
    page = client.get("/fork").text
    library = next(part for part in page.split('"') if part.endswith("plotly-cartesian.min.js"))
    answered = client.get(library)
    assert answered.status_code == 200
    assert "immutable" in answered.headers["cache-control"]
    folder = library.rpartition("/vendor/")[0]  # app/static; a way out of it is written so that it is sent
    assert client.get(f"{folder}/css/base.css").status_code == 200
    for way_out in ("%2e%2e/options.py", "vendor/%2e%2e/%2e%2e/options.py", "..%2foptions.py"):
        assert client.get(f"{folder}/{way_out}").status_code == 404


def test_two_servers_in_one_process_share_nothing() -> None:
    """Options, jobs, drafts, files, the shop's book and trials hang on the app, not on a module."""
    first, second = create_app(Options(warm_up=False)), create_app(Options(warm_up=False))
    for name in ("options", "jobs", "drafts", "shelf", "store_door", "desk"):
        assert getattr(first.state, name) is not getattr(second.state, name), name


def wait_for(job: Any, state: str) -> None:
    """Wait until a job has a state."""
    until = time.monotonic() + 5.0
    while job.state != state and time.monotonic() < until:
        time.sleep(0.005)
    assert job.state == state


def test_job_reports_progress_and_stops_when_cancelled() -> None:
    """A running job shows how far it is, and ends at its next report after a cancel."""
    queue, going = JobQueue(), threading.Event()

    def work(progress: Progress) -> None:
        for part in range(1, 10_000):
            progress(part / 10_000, "counting")
            going.set()
            time.sleep(0.002)

    job = queue.submit("me", "count", work)
    assert going.wait(5.0)
    account = queue.find("me", job.key).account()
    assert account["state"] == "running"
    assert account["words"] == "counting"
    assert 0.0 < account["share"] < 1.0
    queue.cancel("me", job.key)
    wait_for(job, "cancelled")
    queue.close()


def test_jobs_of_others_are_not_to_be_seen(client: Any) -> None:
    """Only the browser that handed a job in sees it; for others it does not exist."""
    queue: JobQueue = client.app.state.jobs
    token = "a" * 32
    job = queue.submit(token, "add", lambda _: {"sum": 3})
    wait_for(job, "done")
    path = f"/api/jobs/{job.key}"
    other = {"cookie": f"forkwright_bench={'b' * 32}"}
    nothing = client.get("/api/jobs/no-such-job", headers=other).json()
    for asked in (None, other):
        for place in (path, f"{path}/result"):
            refused = client.get(place, headers=asked)
            assert (refused.status_code, refused.json()) == (422, nothing)
    with pytest.raises(InputError, match="no such job"):
        queue.cancel("b" * 32, job.key)
    assert client.get("/api/jobs", headers=other).json()["jobs"] == []
    mine = {"cookie": f"forkwright_bench={token}"}
    assert client.get(path, headers=mine).json()["state"] == "done"
    assert client.get(f"{path}/result", headers=mine).json() == {"sum": 3}
    assert [one["key"] for one in client.get("/api/jobs", headers=mine).json()["jobs"]] == [job.key]


def test_failed_and_too_many_jobs_are_said(caplog: pytest.LogCaptureFixture) -> None:
    """Wrong input in a job is told in its words, a fault of ours without detail, and the queue has an end."""
    queue, hold = JobQueue(), threading.Event()

    def wrong(_: Progress) -> None:
        raise InputError("no such course", key="course")

    job = queue.submit("me", "ride", wrong)
    wait_for(job, "failed")
    assert job.failure is not None
    assert job.failure["error"] == "course: no such course"
    assert caplog.records == []

    def faulty(_: Progress) -> None:
        raise ZeroDivisionError("a secret of the machine")

    job = queue.submit("me", "ride", faulty)
    wait_for(job, "failed")
    assert job.failure == {"error": "a fault of ours, not of your input"}
    assert "a secret of the machine" in caplog.text  # for us, in the log
    for _ in range(5):
        queue.submit("me", "wait", lambda _: hold.wait(5.0))
    with pytest.raises(InputError, match="jobs are waiting"):
        queue.submit("me", "one more", lambda _: None)
    waiting = queue.listed("me")[0]
    assert queue.cancel("me", waiting.key).state == "cancelled"
    hold.set()
    queue.close()


def test_cancelled_work_is_no_fault(caplog: pytest.LogCaptureFixture) -> None:
    """Work that ends by the exception of a cancelled job is cancelled: no failure, nothing in the log."""
    queue = JobQueue()

    def ended(_: Progress) -> None:
        raise CancelledError

    job = queue.submit("me", "ride", ended)
    wait_for(job, "cancelled")
    queue.close()
    assert job.failure is None
    assert caplog.records == []


@pytest.mark.parametrize(("asker", "packed"), [("192.0.2.7", True), ("127.0.0.1", False)])
def test_answers_are_compressed_for_other_machines_alone(asker: str, packed: bool) -> None:
    """What goes over a network is compressed; what stays on this machine is not held up by it."""
    app = create_app(Options(warm_up=False))

    async def once() -> httpx.Response:
        transport = httpx.ASGITransport(app=app, client=(asker, 4711))
        async with httpx.AsyncClient(transport=transport, base_url=PLACE) as client:
            return await client.post("/api/fork", json={"fork": draft()})

    with ThreadPoolExecutor(1) as pool:  # the browser of other tests may already run a loop in this thread
        answer = pool.submit(anyio.run, once).result()
    app.state.jobs.close()
    assert answer.status_code == 200
    assert (answer.headers.get("content-encoding") == "gzip") is packed
