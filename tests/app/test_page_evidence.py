"""Ride logs and bench traces in a real browser: from a file to figures, and to the fork on the bench."""

from __future__ import annotations

import csv
import re
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect
from tests.app.test_app_access import _SMALL_TARGETS
from tests.app_rides import command_line

from forkwright.units import Measure, show_measure

pytestmark = pytest.mark.browser
Visit = Callable[..., Page]


def assert_clean(page: Page) -> None:
    """Fail on anything axe-core finds."""
    found = [
        f"{one['id']}: {[node['html'][:120] for node in one['nodes'][:3]]}"
        for one in Axe().run(page).response["violations"]
    ]
    assert not found, "\n".join(found)


def bring_in(page: Page, *paths: Path) -> None:
    """Choose files as a finger or the keyboard does."""
    page.get_by_label("Choose files to bring in").set_input_files([str(path) for path in paths])


def typed(page: Page, label: str, text: str) -> None:
    """Type into a field and leave it."""
    field = page.get_by_label(label, exact=True)
    field.fill(text)
    field.dispatch_event("change")


def downloaded(page: Page, button: str) -> str:
    """Press a button that gives a file, and return the file's text."""
    with page.expect_download() as found:
        page.get_by_role("button", name=button).click()
    return found.value.path().read_text("utf-8")


def drop_on(page: Page, name: str, text: str) -> None:
    """Drop a file onto the page, as a hand with a mouse does."""
    held = page.evaluate_handle(
        """([name, text]) => {
          const held = new DataTransfer();
          held.items.add(new File([text], name));
          return held;
        }""",
        [name, text],
    )
    page.dispatch_event("body", "drop", {"dataTransfer": held})


def test_a_log_of_unknown_columns_is_read_once_it_is_confirmed(visit: Visit, tmp_path: Path) -> None:
    """Guesses are put as questions, the next file of the source needs none, and the figures are the CLI's."""
    rows = [f"{i / 200:.3f};{120.5 - 40 * ((i // 90) % 3)}".replace(".", ",") for i in range(4000)]
    first, second = tmp_path / "yard 1.csv", tmp_path / "yard 2.csv"
    first.write_text("\n".join(["Zeit;Federweg", *rows]), encoding="utf-8")
    second.write_text("\n".join(["Zeit;Federweg", *rows[500:]]), encoding="utf-8")
    page = visit("/logs")
    bring_in(page, first)
    columns = page.locator("#columns")
    expect(columns).to_contain_text("Federweg")
    read = page.get_by_role("button", name=re.compile("^Read it"))
    questions = columns.get_by_label(re.compile("^That is right"))
    count = questions.count()
    assert count >= 2
    expect(read).to_be_disabled()
    assert "null" not in columns.inner_text()
    assert_clean(page)
    for place in range(count):
        questions.nth(place).check()
    expect(columns).to_contain_text("reads as")
    read.click()
    figures = page.locator("#figures")
    told = command_line("log", first, "--travel", "160 mm", "--yes")["logs"][0]["whole"]
    expect(figures).to_contain_text(f"{1000 * told['riding_sag_m']:.1f} mm", timeout=15_000)
    expect(figures).to_contain_text(f"{1000 * told['deepest_m']:.1f} mm")
    bring_in(page, second)
    expect(page.locator("#comparison")).to_contain_text("within chance", timeout=15_000)
    expect(columns).to_be_hidden()
    assert_clean(page)


def test_the_log_is_zoomed_by_keys_and_a_stretch_is_named(visit: Visit, demo: Path) -> None:
    """Keys ask for a smaller stretch, it becomes a section with its own figures; reloading keeps it all.

    The table of the use goes along as a file.
    """
    page = visit("/logs")
    bring_in(page, demo / "logs" / "moor-ride-b.csv")
    page.get_by_role("button", name="Read it").click()
    bar = page.get_by_role("group", name="Stretch of the log")
    expect(bar).to_contain_text("0 to 39 s", timeout=15_000)
    bar.focus()
    for key in ("+", "+", "ArrowRight"):
        page.keyboard.press(key)
    expect(bar).to_contain_text("every sample is drawn")
    page.locator("#chart-log-travel").scroll_into_view_if_needed()
    expect(page.locator("#chart-log-travel .js-line").first).to_be_attached()
    page.get_by_role("button", name="Name this stretch").click()
    page.get_by_label("Name", exact=True).fill("Peat steps")
    page.get_by_label("Full travel").fill("170 mm")
    expect(page.locator("#stale")).to_contain_text("read it again")
    page.get_by_role("button", name="Read the ride").click()
    expect(page.locator("#figures")).to_contain_text("Peat steps", timeout=15_000)
    expect(page.locator("#figures")).to_contain_text("170.0 mm of travel")
    rows = csv.DictReader(downloaded(page, "Use by section as CSV").splitlines())
    assert [row["name"] for row in rows] == ["whole ride", "Peat steps"]
    page.reload()
    expect(page.locator("#figures")).to_contain_text("Peat steps", timeout=15_000)
    expect(page.get_by_label("Full travel")).to_have_value("170 mm")


def test_a_fit_is_looked_at_and_put_on_the_bench(visit: Visit, demo: Path, tmp_path: Path) -> None:
    """A trace beside the model, a fit, the values taken: the file says what was fitted and measured.

    The setting during the trace counts, a wrong one is named at its field; the residuals come as a file.
    """
    page = visit("/traces")
    bring_in(page, demo / "logs" / "dunlin-slow-pull.csv")
    page.get_by_role("button", name="Read it").click()
    expect(page.locator("#loop")).to_contain_text("Friction", timeout=15_000)
    page.locator("#setting-title").click()
    page.locator("#day summary").click()
    assert page.evaluate(_SMALL_TARGETS) == []
    typed(page, "Main pressure", "300 psi")
    expect(page.locator("[data-field=pressure] .fault")).to_contain_text("over the stated pressure limit")
    typed(page, "Main pressure", "85.5 psi")
    expect(page.locator("#setting-title")).to_contain_text("main pressure 85.5 psi")
    expect(page.locator("#fault")).to_be_hidden()
    page.get_by_label("Outliers").select_option("huber")
    page.get_by_role("button", name="Fit", exact=True).click()
    values = page.locator("#values")
    expect(values).to_contain_text("air spring seal friction", timeout=30_000)
    expected = command_line(
        "fit", demo / "dunlin-160.toml", demo / "logs" / "dunlin-slow-pull.csv", "--loss", "huber",
        "--pressure", "85.5 psi", "--residuals", tmp_path / "residuals.csv",
    )  # fmt: skip
    friction = next(p for p in expected["parameters"] if p["name"] == "air_spring.seal_friction")
    fitted = show_measure(Measure(friction["fitted"], friction["standard_error"]), "force")
    expect(values.get_by_role("row", name="air spring seal friction")).to_contain_text(fitted)
    for sentence in expected["advice"]:
        expect(page.locator("#fit-words")).to_contain_text(sentence)
    told, shown = (
        list(csv.reader(text.splitlines()))
        for text in ((tmp_path / "residuals.csv").read_text("utf-8"), downloaded(page, "Residuals as CSV"))
    )
    assert shown[0] == told[0]
    assert [row[:2] for row in shown] == [row[:2] for row in told]
    assert np.asarray(shown[1:])[:, 2:].astype(float) == pytest.approx(
        np.asarray(told[1:])[:, 2:].astype(float), rel=1e-9, abs=1e-9
    )
    assert_clean(page)
    page.get_by_role("button", name="Put the ticked values on the bench").click()
    expect(values).to_contain_text("Undo takes it back")
    kept = "async () => JSON.parse(localStorage.getItem('forkwright.draft.1'))"
    page.wait_for_timeout(200)  # the draft is written at rest
    draft = page.evaluate(kept)
    entry = draft["forks"][draft["order"][0]]["edits"]["air_spring.seal_friction"]
    assert entry["origin"] == "fitted"
    assert entry["note"].endswith("measured: 12 ± 3 N")


def test_a_leak_down_names_the_chamber_on_a_phone(visit: Visit, demo: Path) -> None:
    """On a phone in the dark a leak-down tells the gas's way and how fast, as the command line does."""
    page = visit("/traces", viewport={"width": 390, "height": 844}, dark=True)
    bring_in(page, demo / "logs" / "dunlin-leak-down.csv")
    page.get_by_label("Reading of Negative pressure (psi) that means zero").fill("0.5")
    page.get_by_role("button", name="Read it").click()
    expected = command_line(
        "leakdown", demo / "logs" / "dunlin-leak-down.csv", "--unit", demo / "dunlin-160.toml",
        "--zero-of", "negative_pressure=0.5",
    )  # fmt: skip
    leaks = page.locator("#leaks")
    expect(leaks).to_contain_text(expected["path"]["sentences"][0], timeout=15_000)
    lost = next(c for c in expected["chambers"] if c["chamber"] == "negative")
    expect(leaks).to_contain_text(f"{lost['rate_Pa_s'] * 86400 / 6894.757293168:.3g}")
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    assert_clean(page)


def test_a_wrong_file_is_refused_in_words_and_the_next_one_works(
    visit: Visit, tmp_path: Path, demo: Path
) -> None:
    """A picture under a table's name is refused; the page goes on with the file after it."""
    bad = tmp_path / "ride.csv"
    bad.write_bytes(b"\x89PNG\r\n\x1a\n" + bytes(500))
    page = visit("/logs")
    bring_in(page, bad, demo / "logs" / "moor-ride-b.csv")
    expect(page.locator("#columns")).to_contain_text("Fork travel", timeout=15_000)
    expect(page.get_by_label("Meaning of Time (s)")).to_be_focused()
    bring_in(page, bad)
    page.get_by_role("button", name="Not now").click()
    expect(page.locator("#drop")).to_contain_text("ride.csv: this is not a text table", timeout=15_000)
    drop_on(
        page, "dropped.csv", "time (s),travel (mm)\n" + "".join(f"{i / 100},{i % 50}\n" for i in range(900))
    )
    expect(page.locator("#columns")).to_contain_text("What the columns of dropped.csv mean", timeout=15_000)
