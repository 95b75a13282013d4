"""A real workbench process and a real Chromium for the browser tests; every foreign request fails a test."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import anyio
import httpx
import pytest
from fastapi import FastAPI
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright
from tests.app_rides import ended
from tests.app_shapes import as_described

from forkwright.app import Options, create_app

CHROMIUM = shutil.which("chromium") or "chromium"  # as the Makefile looks for it
ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
Ask = Callable[..., Any]
VISITOR = "a" * 32
TABLET = {"width": 1024, "height": 768}
PHONE = {"width": 390, "height": 844}

# What the browser may say: a refused question and a cut connection are part of what is tested.
_EXPECTED_REMARKS = ("status of 422", "status of 409", "net::ERR_")


@pytest.fixture(scope="session")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Start `forkwright serve` on any free port, with a book and trials of its own, and give its address."""
    book = tmp_path_factory.mktemp("book") / "shop.sqlite3"
    places = ["--store", str(book), "--trials", str(tmp_path_factory.mktemp("trials"))]
    process = subprocess.Popen(
        [sys.executable, "-m", "forkwright", "serve", "--port", "0", *places],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    assert process.stdout is not None
    try:
        line = process.stdout.readline()
        found = re.search(r"http://127\.0\.0\.1:\d+", line)
        assert found, f"the server said: {line}{process.stdout.read()}"
        yield found[0]
    finally:
        process.terminate()
        process.communicate(timeout=20)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Start one Chromium for all browser tests."""
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
        yield started
        started.close()


@pytest.fixture
def visit(browser: Browser, address: str) -> Iterator[Callable[..., Page]]:
    """Open a page in a browser of its own; script errors and foreign requests fail the test at its end."""
    contexts: list[BrowserContext] = []
    troubles: list[str] = []

    def open_page(path: str, *, viewport: dict[str, int] | None = None, dark: bool = False) -> Page:
        context = browser.new_context(
            viewport=viewport or TABLET,  # type: ignore[arg-type]
            color_scheme="dark" if dark else "light",
            accept_downloads=True,
        )
        contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda error: troubles.append(f"script error: {error}"))
        page.on("console", lambda said: troubles.extend(_remark(said.type, said.text)))
        page.on(
            "request",
            lambda asked: (
                None
                if asked.url.startswith((address, "data:", "blob:"))
                else troubles.append(f"foreign request: {asked.url}")
            ),
        )
        page.goto(address + path)
        return page

    yield open_page
    for context in contexts:
        context.close()
    assert not troubles, "\n".join(troubles)


def _remark(kind: str, text: str) -> list[str]:
    """Return an error that the browser said and that nobody expected."""
    expected = any(remark in text for remark in _EXPECTED_REMARKS)
    return [f"console: {text}"] if kind == "error" and not expected else []


@pytest.fixture
def demo() -> Path:
    """Where the demonstration files lie."""
    return Path(__file__).parents[2] / "src" / "forkwright" / "demo"


class ServerClient:
    """Talks to a workbench in this process, one request at a time, without a network."""

    def __init__(self, app: FastAPI, place: str) -> None:
        self.app = app
        self._place = place

    def get(self, path: str, **more: Any) -> httpx.Response:
        """Ask for a page."""
        return self._request("GET", path, **more)

    def post(self, path: str, **more: Any) -> httpx.Response:
        """Send a question."""
        return self._request("POST", path, **more)

    def _request(self, method: str, path: str, **more: Any) -> httpx.Response:
        async def once() -> httpx.Response:
            transport = httpx.ASGITransport(app=self.app, raise_app_exceptions=False)
            async with httpx.AsyncClient(transport=transport, base_url=self._place) as client:
                return await client.request(method, path, **more)

        # In a thread of its own: beside a browser this one may run an event loop already.
        with ThreadPoolExecutor(1) as thread:
            return as_described(self.app, method, thread.submit(anyio.run, once).result())


@pytest.fixture
def client(tmp_path: Path) -> Iterator[ServerClient]:
    """Give a client of a server of its own."""
    app = create_app(Options(warm_up=False, trials=tmp_path / "trials"))
    yield ServerClient(app, "http://127.0.0.1:8713")
    app.state.jobs.close()


@pytest.fixture
def ask(client: Any) -> Ask:
    """Ask a call as one browser; a job is waited for, and its result is the answer."""

    def asked(
        path: str, question: Any = None, *, visitor: str = VISITOR, status: int = 200, **more: Any
    ) -> Any:
        cookies = {"cookie": f"forkwright_bench={visitor}"}
        answered = client.post(f"/api/evidence/{path}", json=question, headers=cookies, **more)
        assert answered.status_code == status, answered.text
        answer = answered.json()
        if "job" not in answer:
            return answer
        account = ended(client, answer["job"], headers=cookies)
        if account["state"] == "failed":
            return account["failure"]
        assert account["state"] == "done", account
        return client.get(f"/api/jobs/{answer['job']}/result", headers=cookies).json()

    return asked


@pytest.fixture
def bring(client: Any, ask: Ask) -> Ask:
    """Bring a file in, read it as proposed, and return its key."""

    def brought(content: bytes | Path, name: str = "", *, visitor: str = VISITOR) -> str:
        if isinstance(content, Path):
            content, name = content.read_bytes(), content.name
        answered = client.post(
            "/api/evidence/files",
            params={"name": name},
            content=content,
            headers={"cookie": f"forkwright_bench={visitor}", "content-type": "application/octet-stream"},
        )
        assert answered.status_code == 200, answered.text
        key: str = answered.json()["file"]
        looked = ask("look", {"file": key}, visitor=visitor)
        if "mapping" in looked:
            ask("read", {"file": key, "mapping": looked["mapping"]}, visitor=visitor)
        return key

    return brought


@pytest.fixture
def dunlin(demo: Path) -> dict[str, Any]:
    """The demonstration fork as a draft."""
    return {"toml": (demo / "dunlin-160.toml").read_text(encoding="utf-8"), "edits": {}}
