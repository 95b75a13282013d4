"""The report and the pump's steps of the Compare page: those of `forkwright compare`."""

from __future__ import annotations

import base64
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect
from tests.app.test_app_access import PHONE, settled
from tests.app.test_options_api import DAY, DEMO, HEADERS, ON_THE_DAY, TWO, asked, draft
from tests.app.test_page_options import asked_at, assert_for_every_hand, typed

Cli = Callable[..., tuple[int, str, str]]
Visit = Callable[..., Page]
WHO = ("--rider", str(DEMO / "rider.toml"), "--bike", str(DEMO / "bike.toml"))
COARSE = {"pump_step": "5 psi", "secondary_step": "4 psi"}
AS_COARSE = ("--pump-step", "5 psi", "--secondary-step", "4 psi")


@pytest.mark.parametrize(
    "pair",
    [("plover-160", "dunlin-160"), pytest.param(("linnet-65", "pipit-65"), marks=pytest.mark.slow)],
)
def test_the_report_is_the_command_lines(
    client: Any, cli: Cli, tmp_path: Path, pair: tuple[str, str]
) -> None:
    """The report is, letter by letter, that of `compare --report` with that day, pump and units."""
    files, page = [DEMO / f"{name}.toml" for name in pair], tmp_path / "report.html"
    question = TWO | {"a": draft(pair[0]), "b": draft(pair[1]), "day": DAY, "units": {"pressure": "bar"}}
    found = asked(client, "/api/compare/report", question | COARSE)
    options = (*WHO, *ON_THE_DAY, *AS_COARSE, "--report", page)
    status, _, err = cli("--units", "bar", "compare", *files, *options)
    assert status == 0, err
    assert (found["name"], found["type"]) == ("compare.html", "text/html")
    assert base64.b64decode(found["base64"]).decode("utf-8") == page.read_text("utf-8")


def test_the_steps_of_the_pump_reach_the_comparison(client: Any, cli: Cli) -> None:
    """With a coarse pump the nearest setting and the steps are the command's, not the usual ones."""
    question = TWO | {"a": draft("dunlin-160"), "b": draft("plover-160"), "draws": 200}
    files = [DEMO / f"{name}.toml" for name in ("dunlin-160", "plover-160")]
    status, out, err = cli("compare", *files, *WHO, *AS_COARSE, "--draws", "200", "--json")
    assert status == 0, err
    expected, found = json.loads(out), asked(client, "/api/compare", question | COARSE)
    assert found["nearest"] == expected["nearest"]
    assert found["b"]["steps"] == expected["b"]["steps"]
    assert found["nearest"]["setting"] != asked(client, "/api/compare", question)["nearest"]["setting"]


@pytest.mark.parametrize("path", ["/api/compare", "/api/compare/job", "/api/compare/report"])
@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"pump_step": "0 psi"}, "pump step: out of range; got '0 psi'; allowed: 0.01 psi to 20 psi"),
        ({"secondary_step": "3 mm"}, "secondary step: "),
        ({"day": {"temperature": "-200 °C"}}, "temperature: out of range; got '-200 °C'"),
        ({"b": draft("linnet-65")}, "a fork and a shock are not compared"),
        ({"units": {"pressure": "mm"}}, "pressure"),
    ],
)
def test_a_comparison_that_cannot_be_is_refused_before_the_wait(
    client: Any, path: str, more: dict[str, Any], words: str
) -> None:
    """The first wrong field is named, in the words of the command line, before any job is handed in."""
    reply = client.post(path, json=TWO | more, headers=HEADERS)
    assert reply.status_code == 422, reply.text
    assert words in reply.json()["error"]


@pytest.mark.parametrize("step", ["--pump-step", "--secondary-step"])
@pytest.mark.parametrize("text", ["0 psi", "-1 psi", "500 psi"])
def test_the_command_refuses_a_pump_that_is_none(cli: Cli, step: str, text: str) -> None:
    """A step of nothing, below nothing or beyond any pump is named; each ended in a fault of ours."""
    files = [DEMO / f"{name}.toml" for name in ("dunlin-160", "plover-160")]
    status, _, err = cli("compare", *files, *WHO, f"{step}={text}")
    assert status == 2, err
    assert f"{step.strip('-').replace('-', ' ')}: out of range" in err


@pytest.mark.browser
def test_the_pump_is_kept_and_asked_with(visit: Visit) -> None:
    """What is typed goes along with the report's question, also after a reload; a wrong step is named."""
    page = visit("/compare", viewport=PHONE)
    settled(page)
    fold = page.get_by_text("Smallest steps of the pump", exact=True)
    fold.click()
    assert_for_every_hand(page)
    typed(page, "Smallest step of the pump", "5 psi")
    typed(page, "Smallest step at the secondary valve", "0.3 bar")
    page.reload()
    expect(page.locator("#compare-pump-step")).to_have_value("5 psi")
    page.route("**/api/compare/report", lambda route: route.abort())
    question = asked_at(page, "/api/compare/report", page.locator("#report").click)
    assert (question["pump_step"], question["secondary_step"]) == ("5 psi", "0.3 bar")
    fold.click()
    typed(page, "Smallest step of the pump", "0 psi")
    expect(page.locator("[data-field='pump step'] .fault")).to_contain_text("out of range")


@pytest.mark.browser
@pytest.mark.slow
def test_the_report_is_downloaded(visit: Visit) -> None:
    """One press writes the report of what stands on the page, and the browser takes it as a file."""
    page = visit("/compare")
    settled(page)
    with page.expect_download(timeout=60_000) as download:
        page.get_by_role("button", name="Report, one HTML file").click()
    assert download.value.suggested_filename.endswith("-compare.html")
    assert "<!doctype html>" in Path(download.value.path()).read_text("utf-8")[:200].lower()
