"""Card, spreadsheet and drawing from the Fork page: byte for byte those of `forkwright sheet`."""

from __future__ import annotations

import base64
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect
from tests.app.test_app_access import PHONE, settled
from tests.app.test_options_api import DAY, DEMO, HEADERS, ON_THE_DAY, WHO, draft
from tests.app.test_page_options import assert_for_every_hand

from forkwright.app.api.shapes import DownloadAnswer

Cli = Callable[..., tuple[int, str, str]]
Visit = Callable[..., Page]
WORKSHOP = ("--set-temp", DAY["fill_temperature"], "--set-altitude", DAY["fill_altitude"])
TABLES = {"temperatures": "-5 °C, 25 °C", "altitudes": "0 m, 1500 m, 2500 m"}
IN_TABLES = ("--temperatures", TABLES["temperatures"], "--altitudes", TABLES["altitudes"])
UNITS = {"pressure": "bar", "length": "in", "temperature": "°F"}
IN_UNITS = ("--pressure-unit", "bar", "--length-unit", "in", "--temperature-unit", "°F")


@pytest.fixture
def written(client: Any, cli: Cli, tmp_path: Path) -> Callable[..., tuple[dict[str, Any], bytes]]:
    """Give what a call answers, and the file the command writes beside it."""

    def both(path: str, question: dict[str, Any], *command: object) -> tuple[dict[str, Any], bytes]:
        reply = client.post(
            f"/api/fork/{path}", json={"day": DAY, "units": UNITS} | question, headers=HEADERS
        )
        assert reply.status_code == 200, reply.text
        found = DownloadAnswer.model_validate(reply.json()).model_dump()
        out = tmp_path / found["name"]
        status, _, err = cli("sheet", *command, *IN_UNITS, "--out", out)
        assert status == 0, err
        return found, out.read_bytes()

    return both


def test_the_card_is_the_command_lines(written: Any) -> None:
    """All that the shop knows, the rider's sag, the paper, the day and the ranges of the tables reach it."""
    words = {"owner": "Ines Falk", "bike_name": "Moorland 29", "shop": "Moorland workshop", "date": "1 March"}
    services = ["Lower legs=50 h", "Damper = 200 h"]
    more = {"fork": draft("dunlin-160"), **WHO, "paper": "a4", "job": "17", "services": services}
    found, file = written(
        "card", words | more | TABLES, "card", DEMO / "dunlin-160.toml", *WORKSHOP, *IN_TABLES,
        "--rider", DEMO / "rider.toml", "--bike", DEMO / "bike.toml", "--owner", "Ines Falk", "--bike-name",
        "Moorland 29", "--shop", "Moorland workshop", "--date", "1 March", "--job", "17", "--paper", "a4",
        "--service", services[0], "--service", services[1],
    )  # fmt: skip
    assert found["type"] == "application/pdf"
    assert base64.b64decode(found["base64"]) == file


def test_the_pressures_are_the_command_lines(written: Any) -> None:
    """The spreadsheet of a unit with two chambers, set on the day."""
    file = DEMO / "plover-160.toml"
    question = {"fork": draft("plover-160")} | TABLES
    found, book = written("pressures", question, "pressures", file, *WORKSHOP, *IN_TABLES)
    assert base64.b64decode(found["base64"]) == book


@pytest.mark.parametrize(("name", "leg"), [("dunlin-160", "both"), ("linnet-65", "spring")])
def test_the_cutaway_is_the_command_lines(written: Any, name: str, leg: str) -> None:
    """A fork's legs and a whole shock at a travel, on the day."""
    question = {"fork": draft(name), "travel": "42 mm", "leg": leg}
    file = DEMO / f"{name}.toml"
    found, svg = written("cutaway", question, "cutaway", file, "--travel", "42 mm", "--leg", leg, *ON_THE_DAY)
    assert base64.b64decode(found["base64"]) == svg


@pytest.mark.parametrize(
    ("path", "name", "more", "key"),
    [
        ("card", "dunlin-160", {"services": ["Lower legs"]}, "services"),
        ("card", "dunlin-160", {"temperatures": "90 °C"}, "temperatures"),
        ("card", "dunlin-160", {"altitudes": ",".join(["1 m"] * 9)}, "altitudes"),
        ("card", "dunlin-160", {"day": DAY | {"fill_temperature": "70 °C"}}, "fill_temperature"),
        ("cutaway", "dunlin-160", {"travel": "161 mm"}, "travel"),
        ("cutaway", "dunlin-160", {"travel": "far"}, "travel"),
        ("pressures", "pipit-65", {}, "setting"),
    ],
)
def test_what_is_wrong_is_named(client: Any, path: str, name: str, more: dict[str, Any], key: str) -> None:
    """The field is named, and nothing is written."""
    reply = client.post(f"/api/fork/{path}", json={"fork": draft(name)} | more, headers=HEADERS)
    assert reply.status_code == 422
    assert reply.json()["key"] == key


@pytest.mark.browser
def test_the_fold_writes_them(visit: Visit, cli: Cli, tmp_path: Path) -> None:
    """What is typed comes back after a reload and stands on the card; a fault is said at its field."""
    page = visit("/fork", viewport=PHONE)
    page.locator("#papers summary").click()
    page.get_by_label("Whose it is").fill("Ines Falk")
    page.get_by_label("When to come back").fill("Lower legs=50 h")
    page.locator("#papers-paper label", has_text="A4").click()
    page.reload()
    page.locator("#papers summary").click()
    expect(page.get_by_label("Whose it is")).to_have_value("Ines Falk")
    settled(page)
    with page.expect_download() as got:
        page.get_by_role("button", name="Set-up card (PDF)").click()
    assert got.value.suggested_filename == "dunlin-160-setup-card.pdf"
    card = tmp_path / "card.pdf"
    status, _, err = cli(
        "sheet", "card", DEMO / "dunlin-160.toml", "--rider", DEMO / "rider.toml", "--bike",
        DEMO / "bike.toml", "--owner", "Ines Falk", "--service", "Lower legs=50 h", "--paper", "a4", "--out",
        card,
    )  # fmt: skip
    assert status == 0, err
    assert got.value.path().read_bytes() == card.read_bytes()
    page.get_by_label("Temperatures of the table").fill("90 °C")
    page.get_by_role("button", name="Set-up card (PDF)").click()
    expect(page.locator("#papers-temperatures-fault")).to_contain_text("allowed: -50 °C to 80 °C")
    assert_for_every_hand(page, "section.papers")
