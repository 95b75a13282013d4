"""Pump and chassis on the Fork page: the command line's numbers, asked only when looked at."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect
from tests.app.test_app_access import _SMALL_TARGETS, PHONE, settled, violations
from tests.app.test_app_answers import DEMO, draft
from tests.app.test_page_damper import column, opened, typed
from tests.app_rides import command_line

from forkwright.app.hose_chassis_shapes import ChassisAnswer, HoseAnswer
from forkwright.units import InputError

Visit = Callable[..., Page]


def told(command: str, name: str, *options: str) -> dict[str, Any]:
    """Return what a command prints about a demonstration unit."""
    return command_line(command, DEMO / f"{name}.toml", *options)


@pytest.mark.parametrize("name", ["dunlin-160", "plover-160", "linnet-65"])
def test_a_pump_takes_what_the_command_line_says(client: Any, name: str) -> None:
    """Every chamber with a valve, with the hose that was typed."""
    found = client.post("/api/fork/hose", json={"fork": draft(name), "hose_volume": "14 ml"}).json()
    HoseAnswer.model_validate(found)
    printed = told("hose", name, "--hose-volume", "14 ml")
    assert printed.pop("warnings") == []
    assert found == printed


def test_a_chassis_is_the_command_lines(client: Any) -> None:
    """Loads, friction and stiffness of a fork; a shock is refused in the command's words."""
    found = client.post("/api/fork/chassis", json={"fork": draft("dunlin-160"), "axle_force": "450 N"}).json()
    ChassisAnswer.model_validate(found)
    assert found == told("chassis", "dunlin-160", "--axle-force", "450 N")
    refused = client.post("/api/fork/chassis", json={"fork": draft("linnet-65")})
    with pytest.raises(InputError) as fault:
        told("chassis", "linnet-65")
    assert refused.status_code == 422
    assert refused.json()["error"] == str(fault.value)


@pytest.mark.browser
def test_the_folds_show_it_when_they_are_open(visit: Visit) -> None:
    """Closed they ask nothing; open they show the bench; a wrong volume is said."""
    page = visit("/fork", viewport=PHONE)
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.get_by_role("slider", name="Air pressure").press("ArrowRight")
    page.wait_for_timeout(400)
    assert [url for url in asked if "/api/" in url]
    assert not [url for url in asked if url.endswith(("/hose", "/chassis"))]
    opened(page, "What connecting a pump takes")
    expected = told("hose", "dunlin-160", "--pressure", "86 psi")
    expect(page.locator("#pump-table tbody tr")).to_have_count(len(expected["chambers"]))
    after = [chamber["after_gauge_Pa"] / 6894.757 for chamber in expected["chambers"]]
    assert column(page, "#pump-table", 4) == pytest.approx(after, abs=0.0501)
    typed(page, "Hose and pump head hold", "10")
    expect(page.locator("#pump [role=alert]")).to_contain_text("the unit is missing")
    opened(page, "What the bushings carry")
    expect(page.locator("#chart-bushings .js-line")).to_have_count(3)
    page.locator("#chart-bushings summary").click()
    loads = told("chassis", "dunlin-160")
    expect(page.locator("#chart-bushings tbody tr")).to_have_count(len(loads["travel_m"]))
    assert column(page, "#chart-bushings", 2) == pytest.approx(loads["lower_bushings_N"], abs=0.501)


@pytest.mark.slow
@pytest.mark.browser
def test_the_opened_folds_are_for_every_eye_and_hand(visit: Visit) -> None:
    """With all folds open: axe finds nothing, targets are 44 px, a phone scrolls one way."""
    page = visit("/fork", viewport=PHONE)
    opened(page, "What connecting a pump takes")
    opened(page, "What the bushings carry")
    opened(page, "Where it rests under a stated load")
    expect(page.locator("#pump-table tbody tr").first).to_be_visible()
    page.locator("#chart-load").scroll_into_view_if_needed()
    expect(page.locator("#chart-load .js-line")).to_have_count(3)
    page.locator("#chart-bushings").scroll_into_view_if_needed()  # charts are drawn when they come in sight
    expect(page.locator("#chart-bushings .js-line")).to_have_count(3)
    settled(page)
    assert not violations(page)
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    assert page.evaluate(_SMALL_TARGETS) == []


@pytest.mark.browser
@pytest.mark.parametrize("width", [1024, pytest.param(1400, marks=pytest.mark.slow)])
def test_the_drawing_never_lies_over_what_stands_below_the_bench(visit: Visit, width: int) -> None:
    """Scrolled down to the parts, drawing and sliders have stayed above them."""
    page = visit("/fork", viewport={"width": width, "height": 768})
    expect(page.locator("#drawing svg")).to_be_visible()
    page.locator("#parts input").first.wait_for(state="attached")
    box = "(selector) => document.querySelector(selector).getBoundingClientRect().toJSON()"
    page.evaluate("document.querySelector('.sheet.parts').scrollIntoView()")
    page.wait_for_timeout(100)
    below = page.evaluate(box, ".sheet.beside")["top"]
    assert page.evaluate(box, ".sheet.drawing")["bottom"] <= below
    assert page.evaluate(box, ".sheet.adjust")["bottom"] <= below
