"""Balance, and shocks on the bench pages, in a real browser."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect
from tests.app_rides import command_line

from forkwright.hardware import read_text

pytestmark = pytest.mark.browser
Visit = Callable[..., Page]


def choose(page: Page, name: str) -> None:
    """Put a unit on the bench."""
    page.locator("#rack select").select_option(label=name)


def test_balance_says_what_the_command_line_says_and_takes_its_advice(visit: Visit, demo: Path) -> None:
    """Sentences and advice are those of `forkwright balance`; one press sets the shock, undo resets it."""
    page = visit("/balance")
    files = [str(demo / f"{name}.toml") for name in ("dunlin-160", "linnet-65")]
    who = ("--rider", str(demo / "rider.toml"), "--bike", str(demo / "bike.toml"))
    expected = command_line("balance", *files, *who)["sentences"]
    advised = page.locator("#advice-sentences li")
    expect(advised.first).to_contain_text("change Linnet 65", timeout=15_000)
    said = page.locator("#sentences li").all_inner_texts() + advised.all_inner_texts()
    assert said == expected
    rebound = page.locator("#rear-setting-rebound")
    before = rebound.get_attribute("aria-valuetext")
    assert before
    page.get_by_role("button", name="Give the rear this").click()
    expect(rebound).not_to_have_attribute("aria-valuetext", before)
    page.get_by_role("button", name="Undo").click()
    expect(rebound).to_have_attribute("aria-valuetext", before)


def test_what_is_held_turns_the_bike(visit: Visit) -> None:
    """Keys brake and climb: drawing and words follow; a brake that lifts the rear is told."""
    page = visit("/balance")
    expect(page.locator("#attitude")).to_contain_text("Wheels deep by", timeout=20_000)
    expect(page.locator("#side .ghost")).to_have_count(0)
    page.locator("#hold-gradient").press("PageUp")
    expect(page.locator("#attitude")).to_contain_text("nose up")
    expect(page.locator("#side .ghost")).to_have_count(1)
    expect(page.locator("#sentences")).to_contain_text("Uphill at 10%")
    page.get_by_role("button", name="Level, steady, rider as usual").click()
    expect(page.locator("#side .ghost")).to_have_count(0)
    page.locator("#hold-speed_change_m_s2").press("Home")
    expect(page.locator("#attitude")).to_contain_text("rear wheel would lift")
    page.reload()
    expect(page.locator("#attitude")).to_contain_text("rear wheel would lift")


@pytest.mark.slow
def test_both_ends_ride_a_course(visit: Visit) -> None:
    """The drift of the ride heights is told in words, scores and curves; a later change is marked."""
    page = visit("/balance")
    expect(page.locator("#course option").first).to_be_attached()
    page.get_by_role("button", name="Ride it").click()
    expect(page.locator("#ride-words")).to_contain_text("Over the course", timeout=60_000)
    page.locator("#chart-pitch").scroll_into_view_if_needed()
    expect(page.locator("#chart-pitch .js-line").first).to_be_attached()
    page.locator("#rear-setting-pressure").press("PageUp")
    expect(page.locator("#ride-words")).to_contain_text("Something has changed")


def test_a_shock_lies_on_the_bench(visit: Visit, demo: Path) -> None:
    """The Fork page turns to a shock: its sag at the wheel is the command line's, and it is drawn whole."""
    page = visit("/fork")
    choose(page, "Linnet 65")
    expect(page.locator("#fork-title")).to_have_text("Shock", timeout=20_000)
    who = ("--rider", str(demo / "rider.toml"), "--bike", str(demo / "bike.toml"))
    expected = command_line("sag", str(demo / "linnet-65.toml"), *who)["wheel_sag_m"]
    expect(page.locator("#readings")).to_contain_text(f"{1e3 * expected:.1f} mm")
    expect(page.locator("#drawing svg")).to_contain_text("Air can")
    expect(page.locator("#views")).to_be_hidden()
    page.locator("#wheel-charts").scroll_into_view_if_needed()
    expect(page.locator("#wheel-charts .js-line").first).to_be_attached()
    choose(page, "Pipit 65")
    expect(page.locator("#readings")).to_contain_text("Stress in its wire")
    expect(page.locator("#chart-pressure")).to_be_hidden()
    choose(page, "Dunlin 160")
    expect(page.locator("#wheel-charts")).to_be_hidden()
    expect(page.locator("#views")).to_be_visible()


def test_the_leverage_is_typed_imported_and_refused(visit: Visit, tmp_path: Path) -> None:
    """A point that falls back is told and not taken; a good one, a table and a smoothing go into the bike."""
    page = visit("/fork")
    choose(page, "Linnet 65")
    ratio = page.locator("#readings").get_by_text("Leverage ratio there").locator("xpath=..").locator("dd")
    expect(ratio).to_have_text("2.71", timeout=20_000)
    last = page.get_by_label("Stroke, point 12")
    last.fill("20 mm")
    last.press("Enter")
    fault = page.locator(".leverage .fault")
    expect(fault).to_contain_text("must both rise")
    expect(ratio).to_have_text("2.71", timeout=20_000)
    table = tmp_path / "steeper.csv"
    table.write_text("wheel [mm],stroke [mm]\n0,0\n80,35\n150,65\n", encoding="utf-8")
    page.get_by_label("Import a leverage table").set_input_files(table)
    expect(page.get_by_label(re.compile("^Stroke, point"))).to_have_count(3)
    expect(fault).to_be_empty()
    expect(ratio).not_to_have_text("2.71")
    page.get_by_role("button", name="Undo").click()
    expect(ratio).to_have_text("2.71", timeout=20_000)
    page.get_by_label(re.compile("Smoothing length")).fill("40 mm")
    page.get_by_label(re.compile("Smoothing length")).press("Enter")
    expect(page.locator(".leverage")).to_contain_text("Joined by a smoothing spline.")
    expect(fault).to_be_empty()
    page.get_by_role("button", name="Take out leverage").click()
    expect(page.locator("#fork-warnings")).to_contain_text("no leverage curve")


def test_a_shock_damps_at_the_wheel(visit: Visit) -> None:
    """The Damper page shows the wheel's side of a shock, and moves the wheel by keys."""
    page = visit("/damper")
    expect(page.locator("#wheel-damping")).to_be_hidden()
    choose(page, "Pipit 65")
    expect(page.locator("#wheel-damping")).to_contain_text("Leverage ratio there: 2.69")
    page.locator("#wheel-place").press("End")
    expect(page.locator("#wheel-damping")).to_contain_text("Leverage ratio there: 2.22")
    expect(page.locator("#damper-cutaway svg")).to_contain_text("Preload collar")


DROP = """([place, name, text]) => {
  const carried = new DataTransfer();
  carried.items.add(new File([text], name));
  for (const what of ["dragover", "drop"]) {
    const event = new DragEvent(what, { dataTransfer: carried, bubbles: true, cancelable: true });
    document.querySelector(place).dispatchEvent(event);
  }
}"""


def test_a_bike_and_a_table_are_dropped_in(visit: Visit, demo: Path) -> None:
    """A file dropped on the page becomes the bike, a table on the leverage its points; all is exported."""
    page = visit("/fork")
    expect(page.get_by_label(re.compile("^Stroke, point"))).to_have_count(12, timeout=20_000)
    bike = (demo / "bike.toml").read_text("utf-8").replace("Moor trail bike", "Fen bike")
    page.evaluate(DROP, ["main", "fen.toml", bike])
    expect(page.locator("#bike-form input").first).to_have_value("Fen bike")
    page.evaluate(DROP, [".points-table", "table.csv", "0,0\n80,30\n160,65\n"])
    expect(page.get_by_label(re.compile("^Stroke, point"))).to_have_count(3)
    with page.expect_download() as saved:
        page.get_by_role("button", name="Save the bike as a file").click()
    written = Path(saved.value.path()).read_text("utf-8")
    assert saved.value.suggested_filename == "fen-bike.toml"
    points = read_text(written).leverage.points
    places = [place.si for point in points for place in (point.wheel, point.stroke)]
    assert places == pytest.approx([0.0, 0.0, 0.080, 0.030, 0.160, 0.065])
    assert written.count("Fen bike") == 1
