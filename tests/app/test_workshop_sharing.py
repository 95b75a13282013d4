"""A shared workbench: nothing without signing in, nothing beyond the role, nothing from another page."""

from __future__ import annotations

import re
import shutil
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from fastapi import APIRouter, FastAPI
from tests.app_visitor import PLACE, Visitor, portal
from tests.shop_samples import PASSWORD, filled_store, picture_bytes

from forkwright.app import Options, create_app
from forkwright.app.acts import SAFE_METHODS, Act, act_of, changes_nothing, routes_of
from forkwright.app.sharing.gate import OPEN_PATHS, OWN_TOKEN_PATHS
from forkwright.app.sharing.rates import Rate, RateLimit
from forkwright.app.sharing.sign_in import own_path
from forkwright.app.sharing.upkeep import Upkeep
from forkwright.shop.accounts import add_account, disable, find_account
from forkwright.shop.accounts_signin import MOST_WRONG_PER_ACCOUNT, attempts
from forkwright.shop.records_accounts import SignedIn
from forkwright.units import InputError

ROLES = {"ines": "technician", "tove": "front desk", "gast": "read-only"}
HTML = {"accept": "text/html"}
BEHIND_LINKS = ("/blind/rider", "/blind/mechanic")  # pages that hold nothing of anybody


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the folder of a sample shop with an account of each role; copied, never changed."""
    folder = tmp_path_factory.mktemp("shared-book")
    with filled_store(folder) as store, store.change("test") as session:
        for name, role in list(ROLES.items())[1:]:
            add_account(session, name=name, role=role, password=PASSWORD)
    return folder


@pytest.fixture
def app(book: Path, tmp_path: Path) -> Iterator[FastAPI]:
    """Give a shared workbench over a copy of the sample shop."""
    shutil.copytree(book, tmp_path, dirs_exist_ok=True)
    made = create_app(Options(warm_up=False, store=str(tmp_path / "shop.sqlite3"), shared=True))
    with portal() as made.state.test_portal:
        yield made
    made.state.jobs.close()
    made.state.store_door.close()


def browser(app: FastAPI, place: str = PLACE, address: str = "192.0.2.7") -> Visitor:
    """Return a client with cookies of its own, that follows no redirect by itself."""
    return Visitor(app.state.test_portal, app, place, address)


def signed_in(app: FastAPI, name: str = "ines", place: str = PLACE) -> Visitor:
    """Return a client that has signed in and carries its session's form token, as the pages do."""
    client = browser(app, place)
    answered = sign_in(client, name, PASSWORD)
    assert answered.status_code == 303, answered.text
    client.headers["x-form-token"] = form_token(client.get("/jobs", headers=HTML).text)
    return client


def sign_in(client: Visitor, name: str, password: str, **more: str) -> Any:
    """Open the form and send it."""
    text = client.get("/sign-in").text
    token = re.search(r'name="form_token" value="([0-9a-f]+)"', text)
    assert token
    fields = {"name": name, "password": password, "form_token": token[1], "next": "/jobs", **more}
    return client.post("/sign-in", data=fields)


def form_token(page: str) -> str:
    """Return the form token that a page carries."""
    found = re.search(r'<meta name="form-token" content="([0-9a-f]{64})">', page)
    assert found
    return found[1]


def routes(app: FastAPI) -> list[tuple[str, str]]:
    """Return every route of the app as (method, path with its places filled)."""
    return [(method, path) for method, path, _ in acts(app)]


def acts(app: FastAPI) -> list[tuple[str, str, Act]]:
    """Return method, path with its places filled, and what is said of it, for every route of the app."""
    filled = {"{number}": "1", "{moment}": "after", "{kind}": "notes", "{item}": "axle", "{ordinal}": "1"}
    found = []
    for route in routes_of(app):
        path = route.path
        for name, value in filled.items():
            path = path.replace(name, value)
        path = re.sub(r"\{[a-z_]+\}", "a" * 32, path)
        found += [(method, path, act_of(route)) for method in route.methods or ()]
    return found


# --- without signing in ----------------------------------------------------------------------------------


def test_every_page_and_call_needs_a_sign_in(app: FastAPI) -> None:
    """Without a session every route of the whole workbench answers 401, or leads a page to the sign-in."""
    known = routes(app)
    assert len(known) > 60
    assert ("POST", "/api/fork") in known
    assert ("POST", "/api/workshop/jobs") in known
    for place, (method, path, act) in enumerate(acts(app)):
        if path in OPEN_PATHS or path in BEHIND_LINKS:
            assert act.links or path in OPEN_PATHS
            continue
        client = browser(app, address=f"192.0.2.{place}")
        assert client.request(method, path).status_code == 401, (method, path)
    for path in ("/jobs/1?a=b", "/fork"):
        led = browser(app).get(path, headers=HTML)
        assert led.status_code == 303
        assert led.headers["location"].startswith("/sign-in?next=%2F")
    assert browser(app).get("/nowhere").status_code == 401
    assert browser(app).get("/api/health").json() == {"status": "up"}


def test_forged_sessions_open_nothing(app: FastAPI) -> None:
    """A made-up, empty or over-long session cookie is as good as none."""
    for value in ("x" * 43, "", "a" * 5000, "%00", "../../etc/passwd"):
        client = browser(app)
        client.cookies.set("forkwright_session", value)
        assert client.get("/api/workshop/jobs").status_code == 401


def test_sharing_needs_an_account(tmp_path: Path) -> None:
    """A workbench is not shared while nobody could sign in; no account or password is built in."""
    with pytest.raises(InputError, match="forkwright shop account"):
        create_app(Options(store=str(tmp_path / "new.sqlite3"), shared=True))
    with filled_store(tmp_path) as store, store.change("test") as session:
        found = find_account(session, "ines")
        assert found is not None
        disable(session, found)
    with pytest.raises(InputError, match="sharing needs an account"):
        create_app(Options(store=str(tmp_path / "shop.sqlite3"), shared=True))


# --- sign-in and sessions --------------------------------------------------------------------------------


def test_cookies_are_kept_from_scripts_and_other_sites(app: FastAPI) -> None:
    """The session's cookie is HttpOnly and SameSite=Strict; under encryption Secure and bound to the host."""
    plain = sign_in(browser(app), "ines", PASSWORD).headers.get_list("set-cookie")
    session = next(each for each in plain if each.startswith("forkwright_session="))
    assert "HttpOnly" in session
    assert "SameSite=strict" in session
    assert "Secure" not in session
    assert "Domain" not in session
    encrypted = sign_in(browser(app, "https://127.0.0.1:8713"), "ines", PASSWORD)
    secure = next(each for each in encrypted.headers.get_list("set-cookie") if "forkwright_session=" in each)
    assert secure.startswith("__Host-forkwright_session=")
    assert "Secure" in secure
    assert "Path=/" in secure


def test_a_session_planted_before_is_not_the_one_after(app: FastAPI) -> None:
    """Signing in always begins a new session: a token that was planted or used before opens nothing more."""
    client = browser(app)
    client.cookies.set("forkwright_session", "planted" * 6)
    sign_in(client, "ines", PASSWORD)
    first = client.cookies.get("forkwright_session", domain="127.0.0.1")
    assert first
    assert not first.startswith("planted")
    client.cookies.clear()
    client.cookies.set("forkwright_session", first, domain="127.0.0.1", path="/")
    sign_in(client, "ines", PASSWORD)
    second = client.cookies.get("forkwright_session", domain="127.0.0.1")
    assert second != first
    other = browser(app)
    other.cookies.set("forkwright_session", first)
    assert other.get("/api/workshop/jobs").status_code == 401


def test_the_sign_in_form_itself_carries_a_token(app: FastAPI) -> None:
    """A sign-in sent without this browser's form, or elsewhere, is refused; no password is looked at."""
    client = browser(app)
    good = {"name": "ines", "password": PASSWORD, "next": "/jobs"}
    assert client.post("/sign-in", data=good).status_code == 403
    assert sign_in(client, "ines", PASSWORD, form_token="0" * 64).status_code == 403
    assert client.post("/sign-in", json=good).status_code == 403
    text = client.get("/sign-in").text
    token = re.search(r'name="form_token" value="([0-9a-f]+)"', text)
    assert token
    stranger = browser(app)
    assert stranger.post("/sign-in", data={**good, "form_token": token[1]}).status_code == 403
    headers = {"origin": "http://elsewhere.example"}
    assert client.post("/sign-in", data={**good, "form_token": token[1]}, headers=headers).status_code == 403
    with app.state.store_door.open().look() as session:
        assert attempts(session) == []


def test_guessing_is_held_back_and_written_down(app: FastAPI) -> None:
    """Wrong name, wrong password and a held-back account get one answer, as the right one then does."""
    client = browser(app)
    wrong = sign_in(client, "ines", "not the password")
    nobody = sign_in(client, "nobody at all", "not the password")
    assert wrong.status_code == nobody.status_code == 403
    told = [re.search(r'role="alert">([^<]+)<', answer.text) for answer in (wrong, nobody)]
    assert told[0]
    assert told[1]
    assert told[0][1] == told[1][1]
    for _ in range(MOST_WRONG_PER_ACCOUNT - 1):
        sign_in(client, "ines", "not the password")
    assert sign_in(client, "ines", PASSWORD).status_code == 403
    with app.state.store_door.open().look() as session:
        outcomes = [(each.outcome, each.name, each.address) for each in attempts(session)]
    assert outcomes.count(("held back", "ines", "192.0.2.7")) == 1
    assert outcomes.count(("wrong", "ines", "192.0.2.7")) == MOST_WRONG_PER_ACCOUNT
    assert ("wrong", "", "192.0.2.7") in outcomes


def test_signing_out_ends_the_session_everywhere(app: FastAPI) -> None:
    """Signing out ends the session in the browser and in the store; without its token it does nothing."""
    client = signed_in(app)
    token = client.cookies.get("forkwright_session", domain="127.0.0.1")
    assert client.post("/sign-out", data={"form_token": "0" * 64}).status_code == 403
    assert client.get("/api/workshop/jobs").status_code == 200
    left = client.post("/sign-out", data={"form_token": client.headers["x-form-token"]})
    assert left.status_code == 303
    client.cookies.set("forkwright_session", str(token))
    assert client.get("/api/workshop/jobs").status_code == 401
    with app.state.store_door.open().look() as session:
        assert [each.outcome for each in attempts(session)] == ["out", "in"]


def test_a_tablet_shows_the_next_person_nothing_of_the_last(app: FastAPI) -> None:
    """Files and jobs of one person stay theirs when another signs in at the same browser, and come back."""
    tablet, files = signed_in(app), "/api/evidence/files"
    brought = tablet.post(f"{files}?name=ride.csv", content=b"time (s),travel (mm)\n0,1\n1,2\n").json()
    key = brought["file"]
    job = tablet.post("/api/evidence/look", json={"file": key}).json()["job"]
    assert [each["file"] for each in tablet.get(files).json()["files"]] == [key]
    assert change_hands(tablet, "tove").get(files).json() == {"files": []}
    assert tablet.get("/api/jobs").json() == {"jobs": []}
    for path in (f"/api/jobs/{job}", f"/api/jobs/{job}/result"):
        assert tablet.get(path).status_code == 422
    assert tablet.post("/api/evidence/look", json={"file": key}).status_code == 422
    assert tablet.delete(f"{files}/{key}").status_code == 422
    back = change_hands(tablet, "ines")
    assert [each["file"] for each in back.get(files).json()["files"]] == [key]
    assert [each["key"] for each in back.get("/api/jobs").json()["jobs"]] == [job]


def change_hands(client: Visitor, name: str) -> Visitor:
    """Sign out and let somebody else sign in at the same browser."""
    assert client.post("/sign-out", data={"form_token": client.headers["x-form-token"]}).status_code == 303
    assert sign_in(client, name, PASSWORD).status_code == 303
    client.headers["x-form-token"] = form_token(client.get("/jobs", headers=HTML).text)
    return client


def test_shutting_an_account_out_takes_effect_at_once(app: FastAPI) -> None:
    """The next request of a disabled account's running session is refused."""
    client = signed_in(app, "tove")
    store = app.state.store_door.open()
    with store.change("test") as session:
        found = find_account(session, "tove")
        assert found is not None
        disable(session, found)
    assert client.get("/api/workshop/jobs").status_code == 401


@pytest.mark.parametrize(
    "goal",
    ["https://elsewhere.example", "//elsewhere.example", "/\\elsewhere", "javascript:alert(1)", "", "/a\n/b"],
)
def test_signing_in_never_leads_elsewhere(goal: str) -> None:
    """Where to go on after signing in is a path of this workbench or the start."""
    assert own_path(goal) == "/"


# --- forms, roles, rates ---------------------------------------------------------------------------------


def test_every_change_needs_the_session_s_form_token(app: FastAPI) -> None:
    """With the cookie alone, or another session's token, no changing request of any page gets through."""
    client, other = signed_in(app), signed_in(app, "tove")
    for token in ("", other.headers["x-form-token"], "ü" * 10):
        client.headers["x-form-token"] = token
        for method, path in routes(app):
            if method in SAFE_METHODS or path in OWN_TOKEN_PATHS:
                continue
            assert client.request(method, path, json={}).status_code == 403, (method, path)


def test_read_only_changes_nothing(app: FastAPI) -> None:
    """For a read-only account every call that could change something is refused; looking works."""
    client = signed_in(app, "gast")
    fork = {"toml": "", "edits": {}, "name": "draft"}
    bodies: dict[str, dict[str, Any]] = {
        "/api/workshop/jobs": {"kind": "fork", "name": "Dunlin 160"},
        "/api/workshop/jobs/1/intake": {"read_version": 1},
        "/api/workshop/jobs/1/stage": {"read_version": 1, "stage": "work"},
        "/api/workshop/jobs/1/notes": {"text": "a"},
        "/api/workshop/jobs/1/findings/axle": {"result": "good"},
        "/api/workshop/jobs/1/materials": {"kind": "part", "name": "a"},
        "/api/workshop/jobs/1/leak-downs": {
            "chamber": "positive", "start_pressure": "80 psi", "end_pressure": "79 psi", "hours": 1
        },
        "/api/workshop/jobs/1/settings/after": {"pressure": "80 psi"},
        "/api/workshop/jobs/1/conclusion": {"read_version": 1},
        "/api/workshop/jobs/1/signatures": {"role": "customer", "name": "a"},
        "/api/workshop/jobs/1/handover": {"read_version": 1},
        f"/api/workshop/units/{'a' * 32}/files": {"toml": "a"},
        "/api/workshop/figures": {"kind": "wear", "item": "a", "value": "1 mm"},
        f"/api/workshop/customers/{'a' * 32}": {"read_version": 1, "name": "a"},
    }  # fmt: skip
    for method, path, act in acts(app):
        if method in SAFE_METHODS or act.kind == "changes nothing" or path in OWN_TOKEN_PATHS:
            continue
        if path == "/api/workshop/pictures":
            answered = client.post(f"{path}?job=2", content=picture_bytes())
        else:
            answered = client.request(method, path, json=bodies.get(path) if method != "DELETE" else None)
        assert answered.status_code == 403, (method, path, answered.text)
    assert client.get("/api/workshop/jobs/1").status_code == 200
    assert client.post("/api/form", json={"draft": fork}).status_code == 200
    page = client.get("/jobs/1", headers=HTML).text
    assert "data-delete" not in page
    assert client.get("/jobs/new", headers=HTML).status_code == 403


def test_every_changing_call_says_what_it_does(app: FastAPI) -> None:
    """Each route that is no mere look carries its act, so that a new page cannot be forgotten."""
    silent = [
        (method, path) for method, path, act in acts(app) if method not in SAFE_METHODS and act.kind is None
    ]
    assert silent == [], "say it at the call, with a mark of forkwright.app.acts"
    for path in ("/api/uncertainty", "/api/courses/check", "/api/blind/size", "/api/form"):
        assert ("POST", path, "changes nothing") in [(one, where, act.kind) for one, where, act in acts(app)]


def test_a_call_that_says_nothing_is_shut_to_read_only(app: FastAPI) -> None:
    """A call without a mark is taken to change something; with it, a read-only account may ask it."""
    plain, marked = APIRouter(), APIRouter()

    @plain.post("/api/silent")
    def silent() -> dict[str, str]:
        return {}

    @marked.post("/api/computing")
    @changes_nothing
    def computing() -> dict[str, str]:
        return {}

    for router in (plain, marked):
        app.include_router(router)
    client = signed_in(app, "gast")
    assert client.post("/api/silent").status_code == 403
    assert client.post("/api/computing").status_code == 200
    assert signed_in(app).post("/api/silent").status_code == 200


def test_front_desk_takes_in_and_notes_but_does_not_measure(app: FastAPI) -> None:
    """The front desk writes notes and takes units in; measuring and deleting are the technician's."""
    client = signed_in(app, "tove")
    assert client.post("/api/workshop/jobs/2/notes", json={"text": "rang: back on Friday"}).status_code == 200
    made = client.post("/api/workshop/jobs", json={"kind": "fork", "name": "Plover 160"})
    assert made.status_code == 200
    refused = client.put("/api/workshop/jobs/2/findings/axle", json={"result": "good"})
    assert refused.status_code == 403
    assert refused.json()["error"] == "tove (front desk) may not do this: work"
    notes = client.get("/api/workshop/jobs/2").json()["notes"]
    note = next(each for each in notes if each["author"] == "tove")
    assert client.delete(f"/api/workshop/jobs/2/notes/{note['id']}").status_code == 403
    assert signed_in(app).delete(f"/api/workshop/jobs/2/notes/{note['id']}").status_code == 200


def test_nobody_asks_without_end(app: FastAPI) -> None:
    """Strangers who ask on and on get 429 with a time to wait; others are not held up by them."""
    client = browser(app)
    last = client.get("/jobs")
    assert last.status_code == 401
    for _ in range(1000):  # a slow machine may take longer to be too fast
        last = client.get("/jobs")
        if last.status_code == 429:
            break
    assert last.status_code == 429
    assert int(last.headers["retry-after"]) >= 1
    assert browser(app, address="192.0.2.8").get("/jobs").status_code == 401


def test_a_rate_limit_drips_full_again_and_stays_small() -> None:
    """After waiting as told the next request passes; however many keys ask, memory is bounded."""
    now = [0.0]
    limit = RateLimit(Rate(per_second=2.0, at_once=1.0), clock=lambda: now[0])
    assert limit.wait("a") == 0.0
    wait = limit.wait("a")
    assert wait == pytest.approx(0.5)
    now[0] += wait
    assert limit.wait("a") == 0.0
    for key in range(30_000):
        limit.wait(str(key))
    assert len(limit._left) <= 10_000


def test_headers_are_strict_on_every_kind_of_answer(app: FastAPI) -> None:
    """Sign-in, refusals, pages and pictures carry the strict policy and are kept by nobody else."""
    client = signed_in(app)
    photo = client.get("/api/workshop/jobs/2").json()["photos"][0]["digest"]
    for answered in (
        browser(app).get("/sign-in"),
        browser(app).get("/api/workshop/jobs"),
        client.get("/jobs/1", headers=HTML),
        client.get(f"/api/workshop/pictures/{photo}"),
    ):
        headers = answered.headers
        assert "default-src 'none'" in headers["content-security-policy"]
        assert "unsafe" not in headers["content-security-policy"]
        assert "frame-ancestors 'none'" in headers["content-security-policy"]
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["cache-control"] in ("no-store", "private, max-age=86400")
    text = browser(app).get("/sign-in").text
    assert "<style" not in text
    scripts = text.split("<script")[1:]
    assert scripts
    assert all("src=" in tag for tag in scripts)


def test_troubles_of_the_store_are_503_in_its_words(app: FastAPI, tmp_path: Path) -> None:
    """A damaged store is told in its own words, before and behind the gate, and as a page."""
    client = signed_in(app)
    (tmp_path / "shop.sqlite3").write_bytes(b"no store " * 1000)
    for suffix in ("-wal", "-shm"):
        (tmp_path / f"shop.sqlite3{suffix}").unlink(missing_ok=True)
    answered = client.get("/api/workshop/jobs")
    assert answered.status_code == 503
    assert "damaged" in answered.json()["error"]
    page = client.get("/jobs", headers=HTML)
    assert page.status_code == 503
    assert page.headers["content-type"].startswith("text/html")
    assert "damaged" in page.text
    assert "default-src 'none'" in page.headers["content-security-policy"]
    stranger = browser(app)
    form = stranger.get("/sign-in").text
    token = re.search(r'name="form_token" value="([^"]+)"', form)
    assert token is not None
    tried = {"name": "ines", "password": PASSWORD, "form_token": token[1], "next": "/"}
    refused = stranger.post("/sign-in", data=tried, headers=HTML)
    assert refused.status_code == 503
    assert "damaged" in refused.text


def test_the_housekeeping_takes_old_sessions_away(tmp_path: Path) -> None:
    """Sessions long over are swept when the workbench starts."""
    with filled_store(tmp_path) as store:
        with store.change("test") as session:
            account = find_account(session, "ines")
            assert account is not None
            then = store.clock().replace(year=2030)
            session.add(SignedIn(token_digest="0" * 64, account_id=account.id, started_at=then, seen_at=then))
        upkeep = Upkeep(store, every=60.0)
        upkeep.start()
        gone = threading.Event()
        for _ in range(100):
            with store.look() as session:
                if session.get(SignedIn, "0" * 64) is None:
                    gone.set()
                    break
            gone.wait(0.02)
        upkeep.stop()
    assert gone.is_set()
