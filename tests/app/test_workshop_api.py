"""The workshop's book over its API: conflicts, uploads, papers, and whatever a stranger may send."""

from __future__ import annotations

import html
import io
import random
from collections.abc import Iterator
from pathlib import Path
from typing import Any, get_args

import pytest
from fastapi import FastAPI
from openpyxl import load_workbook
from PIL import Image
from tests.app_server import ask_everything, running_workbench
from tests.app_uploads import spoiled_uploads
from tests.app_visitor import PLACE, Visitor, portal
from tests.shop_samples import DEMO, filled_store, picture_bytes

from forkwright.app import Options, create_app
from forkwright.app.pages.jobs import LARGEST_PICTURE
from forkwright.app.workshop import book_shapes, job_shapes
from forkwright.hardware import read_text
from forkwright.shop import records, records_job
from forkwright.shop.pictures import LARGEST_UPLOAD

JOBS = "/api/workshop/jobs"


@pytest.fixture
def app(tmp_path: Path) -> Iterator[FastAPI]:
    """Give a workbench on one machine over the sample shop."""
    filled_store(tmp_path).close()
    made = create_app(Options(warm_up=False, store=str(tmp_path / "shop.sqlite3"), actor="Ines Falk"))
    with portal() as made.state.test_portal:
        yield made
    made.state.jobs.close()
    made.state.store_door.close()


@pytest.fixture
def visitor(app: FastAPI) -> Visitor:
    """Give someone at this machine."""
    return Visitor(app.state.test_portal, app, PLACE, "127.0.0.1")


def upload(visitor: Visitor, content: bytes, query: str = "job=2", **headers: str) -> Any:
    """Send a picture."""
    return visitor.post(f"/api/workshop/pictures?{query}", content=content, headers=headers)


def files_below(folder: Path) -> set[str]:
    """Return every file under a folder."""
    return {str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file()}


def test_a_conflict_tells_base_mine_and_theirs(visitor: Visitor) -> None:
    """Saving on top of an older version gives 409 with each field as both started, mine and theirs."""
    job = visitor.get(f"{JOBS}/2").json()
    first = {"read_version": job["version"], "complaint": "theirs", "rider_mass": "80 kg"}
    assert visitor.put(f"{JOBS}/2/intake", json=first).status_code == 200
    refused = visitor.put(f"{JOBS}/2/intake", json={"read_version": job["version"], "complaint": "mine"})
    assert refused.status_code == 409
    body = refused.json()
    assert body["changed_by"] == "Ines Falk"
    fields = {field["name"]: field for field in body["fields"]}
    assert fields["complaint"] == {
        "name": "complaint", "base": job["complaint"], "mine": "mine", "theirs": "theirs", "clash": True
    }  # fmt: skip
    merged = {"read_version": body["current_version"], "complaint": "mine", "rider_mass": "80 kg"}
    assert visitor.put(f"{JOBS}/2/intake", json=merged).status_code == 200


@pytest.mark.parametrize(
    ("path", "body", "field"),
    [
        ("findings/axle", {"result": "good"}, "result"),
        ("settings/before", {"pressure": "70 psi"}, "pressure"),
    ],
)
def test_lines_that_were_not_there_yet_conflict_too(
    visitor: Visitor, path: str, body: dict[str, str], field: str
) -> None:
    """Two people who both write the first version of a line: the second is told, and can save on top."""
    assert visitor.put(f"{JOBS}/2/{path}", json=body).status_code == 200
    other = {"good": "stop", "70 psi": "72 psi"}[body[field]]
    refused = visitor.put(f"{JOBS}/2/{path}", json={field: other})
    assert refused.status_code == 409
    found = next(each for each in refused.json()["fields"] if each["name"] == field)
    assert (found["base"], found["mine"], found["theirs"]) == (None, other, body[field])
    again = visitor.put(f"{JOBS}/2/{path}", json={field: other, "read_version": 1})
    assert again.status_code == 200


def test_a_job_that_moved_on_is_not_moved_or_signed_blindly(visitor: Visitor) -> None:
    """Moving conflicts on an older version; a signature stands only for what the signer saw."""
    job = visitor.get(f"{JOBS}/2").json()
    there = {"stage": "inspection", "read_version": job["version"]}
    assert visitor.put(f"{JOBS}/2/stage", json=there).status_code == 200
    assert visitor.put(f"{JOBS}/2/stage", json={**there, "stage": "cancelled"}).status_code == 409
    visitor.put(f"{JOBS}/2/findings/axle", json={"result": "good"})
    signing = {"role": "technician", "name": "Ines Falk", "seen": job["digest"]}
    refused = visitor.post(f"{JOBS}/2/signatures", json=signing)
    assert refused.status_code == 422
    assert "look again, then sign" in refused.json()["error"]
    signing["seen"] = visitor.get(f"{JOBS}/2").json()["digest"]
    assert visitor.post(f"{JOBS}/2/signatures", json=signing).json()["signatures"][0]["still_holds"]
    over = visitor.post(f"{JOBS}/2/handover", json={"read_version": job["version"] + 1})
    assert over.status_code == 422
    assert "structural parts not looked at" in over.json()["error"]


def test_what_is_signed_for_is_what_the_page_shows(visitor: Visitor) -> None:
    """Technician and customer sign the very words that stand beside their line on the hand-over sheet."""
    page = html.unescape(visitor.get(f"{JOBS.removeprefix('/api/workshop')}/2/handover").text)
    for role in ("technician", "customer"):
        signing = {"role": role, "name": "Ines Falk", "seen": visitor.get(f"{JOBS}/2").json()["digest"]}
        signed = visitor.post(f"{JOBS}/2/signatures", json=signing).json()["signatures"][-1]
        assert signed["role"] == role
        assert f"“{signed['statement']}”" in page


def test_limits_of_the_unit_s_file_are_enforced(visitor: Visitor) -> None:
    """A setting over the file's pressure limit is refused in the command line's words; nothing is kept."""
    refused = visitor.put(f"{JOBS}/2/settings/after", json={"pressure": "300 psi"})
    assert refused.status_code == 422
    assert "over the stated pressure limit" in refused.json()["error"]
    assert "after" not in visitor.get(f"{JOBS}/2").json()["settings"]


def test_the_next_service_survives_a_later_word(visitor: Visitor) -> None:
    """Changing only what was done keeps the planned day, though hours a week are not kept."""
    version = visitor.get(f"{JOBS}/2").json()["version"]
    plan = {"read_version": version, "work_done": "new seals", "hours": 50, "hours_a_week": 5}
    planned = visitor.put(f"{JOBS}/2/conclusion", json=plan).json()
    assert planned["next_service"]["on"] is not None
    plain = {"read_version": planned["version"], "work_done": "new seals and oil", "hours": 50}
    after = visitor.put(f"{JOBS}/2/conclusion", json=plain).json()
    assert after["next_service"] == planned["next_service"]
    assert after["work_done"] == "new seals and oil"


def test_a_bike_s_file_comes_in_with_the_unit(visitor: Visitor) -> None:
    """The bike is taken into the book by its file's name; a file of something else is refused."""
    fork, bike = ((DEMO / name).read_text(encoding="utf-8") for name in ("dunlin-160.toml", "bike.toml"))
    asked = {"toml": fork, "serial": "B-1", "customer": "Oda", "bike_toml": bike, "rider_mass": "82 kg"}
    made = visitor.post(JOBS, json=asked)
    assert made.status_code == 200, made.text
    assert made.json()["bike"]["name"] == read_text(bike, "bike").name
    refused = visitor.post(JOBS, json={**asked, "serial": "B-2", "bike_toml": fork})
    assert refused.status_code == 422
    assert "describes no bike" in refused.json()["error"]


def test_papers_are_what_they_say(visitor: Visitor) -> None:
    """Card and report are PDFs, the book a spreadsheet in the units asked for; names come from us alone."""
    for name, kind in (("card.pdf?paper=a4", b"%PDF-"), ("report.pdf", b"%PDF-"), ("pressures.xlsx", b"PK")):
        answered = visitor.get(f"{JOBS}/1/{name}")
        assert answered.status_code == 200
        assert answered.content.startswith(kind)
        assert answered.headers["content-disposition"].startswith('attachment; filename="job-1-')
    bar = visitor.get(f"{JOBS}/1/pressures.xlsx?pressure=bar")
    sheet = load_workbook(io.BytesIO(bar.content)).worksheets[0]
    assert sheet["B5"].value == pytest.approx(80 * 6894.757293168 / 1e5)
    assert visitor.get(f"{JOBS}/2/card.pdf").status_code == 422
    assert visitor.get(f"{JOBS}/1/card.pdf?pressure=furlong").status_code == 422


def test_unit_files_come_back_as_kept(visitor: Visitor) -> None:
    """Every version of a unit's file can be had again; a text that is no unit makes no version."""
    unit = visitor.get(f"{JOBS}/1").json()["unit"]["id"]
    files = f"/api/workshop/units/{unit}/files"
    first = visitor.get(f"{files}/1").text
    assert visitor.get(f"{files}/2").text == f"{first}\n# measured again\n"
    assert visitor.get(f"{files}/3").status_code == 422
    assert visitor.post(files, json={"toml": "kind = 'rider'"}).status_code == 422
    kept = visitor.post(files, json={"toml": f"{first}\n# third\n", "reason": "again"}).json()
    assert [file["ordinal"] for file in kept["files"]] == [1, 2, 3]


def test_the_described_words_are_the_books() -> None:
    """Stages, results, kinds and roles that the description allows are those of the book."""
    for allowed, kept in (
        (job_shapes.Stage, records_job.STAGES),
        (job_shapes.FindingResult, records_job.FINDING_RESULTS),
        (job_shapes.MaterialKind, records_job.MATERIAL_KINDS),
        (job_shapes.UnitKind, records.UNIT_KINDS),
        (book_shapes.FigureKind, records.FIGURE_KINDS),
    ):
        assert get_args(allowed) == kept


# --- uploads ---------------------------------------------------------------------------------------------


def test_a_picture_is_kept_as_our_own_bytes(visitor: Visitor, tmp_path: Path) -> None:
    """A picture is known by its content whatever it is called; it is written anew, without extras."""
    before = files_below(tmp_path)
    hidden = picture_bytes(kind="JPEG") + b"<script>alert(1)</script>"
    answered = upload(visitor, hidden, "job=2&caption=../../etc/passwd", **{"content-type": "text/html"})
    assert answered.status_code == 200
    photo = next(each for each in answered.json()["photos"] if each["caption"] == "../../etc/passwd")
    kept = visitor.get(f"/api/workshop/pictures/{photo['digest']}")
    assert kept.headers["content-type"] == "image/jpeg"
    assert b"script" not in kept.content
    assert Image.open(io.BytesIO(kept.content)).format == "JPEG"
    new = {path for path in files_below(tmp_path) - before if not path.startswith("shop.sqlite3")}
    assert new == {f"pictures/{photo['digest'][:2]}/{photo['digest']}.jpg"}


def test_wrong_and_oversized_uploads_keep_nothing(visitor: Visitor, tmp_path: Path) -> None:
    """What is no picture is refused with 422, what is too large with 413; the disk holds nothing of it."""
    before = files_below(tmp_path)
    svg = b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'
    for content in (b"", b"MZ" * 50, svg, b"%PDF-1.7", b"GIF89a" + b"\0" * 40, b"\xff\xd8\xff" + b"\0" * 40):
        refused = upload(visitor, content)
        assert refused.status_code == 422, content
        assert refused.json()["error"].startswith("picture: "), content
    assert upload(visitor, b"\xff" * (LARGEST_PICTURE + 2048)).status_code == 413
    assert visitor.post(f"{JOBS}/2/notes", content=b"x" * 2_000_000).status_code == 413
    assert upload(visitor, picture_bytes(), "job=99").status_code == 422
    assert LARGEST_PICTURE == LARGEST_UPLOAD
    assert {path for path in files_below(tmp_path) - before if not path.startswith("shop.sqlite3")} == set()


def test_spoiled_pictures_are_refused_in_words(visitor: Visitor) -> None:
    """Cut, flipped and glued pictures are refused or written anew; none is a fault of ours."""
    told = [upload(visitor, content).status_code for content in spoiled_uploads(random.Random(1), 60)]
    assert set(told) <= {200, 422}
    assert told.count(422) > 10


@pytest.mark.parametrize(
    "name",
    [
        "..%2f..%2fshop.sqlite3",
        "%2e%2e/%2e%2e/shop.sqlite3",
        "....//shop.sqlite3",
        "C:%5cshop",
        "0" * 64,
        "a%00b",
    ],
)
def test_no_path_from_outside_reaches_the_disk(visitor: Visitor, name: str) -> None:
    """Names that climb, that are absolute or that are nobody's give an error and no file of the machine."""
    for start in ("/api/workshop/pictures/", "/static/", visitor_static(visitor), "/jobs/unit/"):
        answered = visitor.get(f"{start}{name}")
        assert answered.status_code in (404, 422, 400), start
        assert b"SQLite format" not in answered.content
        assert str(Path.cwd()).encode() not in answered.content


def visitor_static(visitor: Visitor) -> str:
    """Return where the static files lie."""
    page = visitor.get("/jobs").text
    return "/static/" + page.split("/static/", 1)[1].split("/", 1)[0] + "/"


# --- serving ---------------------------------------------------------------------------------------------


def test_pages_without_a_store_say_so() -> None:
    """A workbench that was started without a store tells so on the Jobs page."""
    app = create_app(Options(warm_up=False))
    with portal() as running:
        answered = Visitor(running, app, PLACE, "127.0.0.1").get("/jobs", headers={"accept": "text/html"})
    app.state.jobs.close()
    assert answered.status_code == 404
    assert "started without a shop" in answered.text


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--host", "0.0.0.0"), "--share lets them in"),
        (("--share", "--store", "{empty}"), "forkwright shop account"),
        (("--name", "bench"), "for sharing alone"),
        (("--share", "--certificate", "{file}"), "come together"),
        (("--share", "--store", "{book}", "--certificate", "{file}", "--key", "{file}"), "cannot encrypt"),
    ],
)
def test_nothing_is_shared_by_accident(
    cli: Any, tmp_path: Path, arguments: tuple[str, ...], words: str
) -> None:
    """Listening to the network needs --share, and --share an account; half a certificate is refused."""
    filled_store(tmp_path / "full").close()
    (tmp_path / "file").write_text("no certificate")
    places = {
        "{empty}": tmp_path / "empty.sqlite3",
        "{book}": tmp_path / "full" / "shop.sqlite3",
        "{file}": tmp_path / "file",
    }
    status, _, err = cli("serve", "--port", "0", *(places.get(each, each) for each in arguments))
    assert status == 2
    assert words in err


@pytest.mark.slow
def test_everything_described_can_be_asked(tmp_path: Path) -> None:
    """Requests made from the API's own description, right and wrong, meet no fault of the server's."""
    filled_store(tmp_path).close()
    with running_workbench(tmp_path / "shop.sqlite3") as address:
        asked = ask_everything(address, lambda path: path.startswith("/api/workshop"), 2, number=7)
    assert asked > 60
