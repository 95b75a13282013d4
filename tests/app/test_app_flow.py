"""The technician's flow in a real browser, against the command line's own numbers."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect
from tests.app_rides import command_line
from tests.command_line import Cli, refused

pytestmark = pytest.mark.browser
Visit = Callable[..., Page]


def reading(page: Page, name: str) -> str:
    """Return one of the readings beside the sliders."""
    return page.locator("#readings div", has=page.get_by_text(name, exact=True)).locator("dd").inner_text()


def shows_forces(page: Page, chart: str, forces: list[float]) -> None:
    """Hold the table behind a chart to forces in N, row by row, to the whole newton that it shows."""
    rows = page.locator(f"{chart} .behind tbody tr")
    expect(rows).to_have_count(len(forces))
    shown = [float(text.split("\t")[1]) for text in rows.all_inner_texts()]
    for number, force in zip(shown, forces, strict=True):
        assert number == pytest.approx(force, abs=0.5000001)


def test_slider_number_is_the_command_line_number(visit: Visit, demo: Path) -> None:
    """A pressure set with the keyboard gives the force that `forkwright spring --pressure` gives."""
    page = visit("/fork")
    slider = page.get_by_role("slider", name="Air pressure")
    expect(page.locator("#chart-force .js-line").first).to_be_attached()
    for _ in range(5):
        slider.press("ArrowRight")
    expect(slider).to_have_attribute("aria-valuetext", "90.0 psi")
    expected = command_line("spring", str(demo / "dunlin-160.toml"), "--pressure", "90 psi")
    end = f"{expected['force_N'][-1]:.0f} N"
    expect(page.locator("#readings dd", has_text=re.compile(rf"^{re.escape(end)}$"))).to_be_visible()
    page.locator("#chart-force summary").click()
    shows_forces(page, "#chart-force", expected["force_N"])


def test_damper_clicks_give_the_command_line_force(visit: Visit, demo: Path) -> None:
    """Clicks set on the Damper page give the forces of `forkwright damper`."""
    page = visit("/damper")
    rebound = page.get_by_role("slider", name="Rebound")
    rebound.press("ArrowLeft")
    rebound.press("ArrowLeft")
    expect(page.locator(".adjuster", has_text="Rebound").locator("output")).to_have_text("4 clicks")
    expected = command_line("damper", str(demo / "dunlin-160.toml"), "--rebound", "4")["force_N"]
    page.locator("#chart-damping summary").click()
    first = page.locator("#chart-damping .behind tbody tr").first.locator("td").nth(1)
    expect(first).to_have_text(f"{expected[0]:.0f}")
    shows_forces(page, "#chart-damping", expected)


def test_stretching_shims_give_the_command_line_force(visit: Visit, demo: Path) -> None:
    """The tick beside the clicks gives what `forkwright damper --stiffening` gives, without the warning."""
    page = visit("/damper")
    expect(page.locator("#damper-warnings")).to_contain_text("ask for stiffening")
    page.get_by_label("Let the shims stretch").check()
    expected = command_line("damper", str(demo / "dunlin-160.toml"), "--stiffening")["force_N"]
    assert expected != command_line("damper", str(demo / "dunlin-160.toml"))["force_N"]
    page.locator("#chart-damping summary").click()
    first = page.locator("#chart-damping .behind tbody tr").first.locator("td").nth(1)
    expect(first).to_have_text(f"{expected[0]:.0f}", timeout=20_000)
    shows_forces(page, "#chart-damping", expected)
    expect(page.locator("#damper-warnings")).not_to_contain_text("ask for stiffening")


def test_measured_part_with_tolerance_moves_the_curve(visit: Visit) -> None:
    """A bore typed with its tolerance is taken, marked as assumed, undone and redone."""
    page = visit("/fork")
    before = reading(page, "Force at full travel")
    bore = page.get_by_label("Bore", exact=True).first
    bore.fill("33.0 +/- 0.1 mm")
    bore.press("Tab")
    expect(page.locator("#readings")).not_to_contain_text(before)
    page.get_by_label("Bore: where the number is from").first.select_option("assumed")
    expect(page.locator("#part-air_spring-bore-origin")).to_have_attribute("data-origin", "assumed")
    page.get_by_role("button", name="Undo").click()
    page.get_by_role("button", name="Undo").click()
    expect(page.locator("#readings")).to_contain_text(before)
    expect(page.locator("#part-air_spring-bore")).to_have_value("32.00 ± 0.02 mm")
    page.locator("#fork-title").click()
    page.keyboard.press("Control+Shift+Z")
    expect(page.locator("#part-air_spring-bore")).to_have_value("33.0 +/- 0.1 mm")


def test_wrong_entry_is_said_in_the_command_lines_words(
    visit: Visit, demo: Path, tmp_path: Path, cli: Cli
) -> None:
    """A shaft wider than its bore is refused beside the field, in the words of `forkwright check`."""
    page = visit("/fork")
    shaft = page.locator("#part-air_spring-shaft")
    shaft.fill("40 mm")
    fault = page.locator("#part-air_spring-shaft-fault")
    expect(fault).to_contain_text("the shaft does not fit the bore")
    text = (demo / "dunlin-160.toml").read_text(encoding="utf-8").replace("10.00 ± 0.01 mm", "40 mm", 1)
    wrong = tmp_path / "wrong.toml"
    wrong.write_text(text, encoding="utf-8")
    assert fault.inner_text().split("; allowed")[0] in refused(cli, "check", wrong)


def test_file_goes_out_and_comes_back_with_its_comments(visit: Visit, demo: Path, tmp_path: Path) -> None:
    """An exported fork keeps the comments of its file and the changed setting, and can be imported again."""
    page = visit("/fork")
    page.get_by_role("slider", name="Air pressure").press("ArrowRight")
    expect(page.get_by_role("slider", name="Air pressure")).to_have_attribute("aria-valuetext", "86.0 psi")
    with page.expect_download() as waiting:
        page.get_by_role("button", name="Export").click()
    target = tmp_path / "out.toml"
    waiting.value.save_as(target)
    text = target.read_text(encoding="utf-8")
    assert 'pressure = "86 psi"' in text
    comments = re.findall(r"#.*", (demo / "dunlin-160.toml").read_text(encoding="utf-8"))
    assert "# full extension, no spacers" in comments
    assert re.findall(r"#.*", text) == comments
    target.write_text(text.replace("Dunlin 160", "Wren 150"), encoding="utf-8")
    page.get_by_label("Import a file").set_input_files(target)
    expect(page.get_by_label("Fork or shock on the bench")).to_contain_text("Wren 150")
    expect(page.get_by_role("slider", name="Air pressure")).to_have_attribute("aria-valuetext", "86.0 psi")


def test_compare_takes_the_nearest_setting(visit: Visit, demo: Path, cli: Cli) -> None:
    """Words and nearest setting are those of `forkwright compare`, and one press applies them to B."""
    page = visit("/compare")
    button = page.get_by_role("button", name="Give B its nearest setting")
    button.wait_for()
    status, printed, err = cli(
        "compare", demo / "dunlin-160.toml", demo / "plover-160.toml",
        "--rider", demo / "rider.toml", "--bike", demo / "bike.toml",
    )  # fmt: skip
    assert status == 0, err
    told = " ".join(printed.split())
    sentences = page.locator("#sentences li").all_inner_texts()
    assert len(sentences) > 4
    assert [sentence for sentence in sentences if sentence not in told] == []
    nearest = re.search(r"Plover 160 comes nearest to Dunlin 160 with ([\d.]+ psi)", told)
    assert nearest
    button.click()
    expect(page.locator("#b-setting-pressure")).to_have_attribute("aria-valuetext", nearest[1])


def test_stack_is_built_by_keyboard_and_drag(visit: Visit) -> None:
    """Shims move by keys and by dragging, and the damping force follows."""
    page = visit("/damper")
    stack = page.get_by_role("list", name="Base valve: shims from the valve face to the clamp")
    sizes = stack.locator("input[type=text]")
    expect(sizes).to_have_count(5)
    stack.locator(".handle").nth(4).press("Alt+ArrowUp")
    expect(sizes.nth(3)).to_have_value("11.0 x 0.250 ± 0.003 mm")
    expect(page.locator("#stacks svg").first).to_be_visible()
    stack.locator(".handle").nth(3).drag_to(stack.locator("li").nth(4))  # follows a list that is still moving
    expect(sizes.nth(4)).to_have_value("11.0 x 0.250 ± 0.003 mm")
    stack.locator(".handle").nth(0).press("Delete")
    expect(sizes).to_have_count(4)
    expect(page.locator("#stacks svg").first).to_be_visible()


def test_show_explains_each_step(visit: Visit, demo: Path) -> None:
    """The Show page walks through the stroke; its sag sentence carries the number of `forkwright sag`."""
    page = visit("/show")
    page.get_by_role("button", name="Sag", exact=True).click()
    words = page.locator(".story-words").first
    expect(words).to_contain_text("settle it at")
    found = re.search(r"rider's (\d+) N settle it at ([\d.]+) mm", words.inner_text())
    assert found
    rests = command_line(
        "sag", str(demo / "dunlin-160.toml"), "--rider", str(demo / "rider.toml"),
        "--bike", str(demo / "bike.toml"),
    )  # fmt: skip
    assert found[1] == f"{rests['load_N']:.0f}"
    assert found[2] == f"{rests['sag_m'] * 1e3:.1f}"
    shaft = page.locator('#figures [data-part="shaft"]').first
    before = shaft.get_attribute("y")
    assert before
    page.get_by_role("button", name="Full travel").click()
    expect(shaft).not_to_have_attribute("y", before)


def test_a_cold_day_is_the_command_lines(visit: Visit, demo: Path) -> None:
    """A day typed on the Fork page gives the sag of `forkwright sag`, and holds for Compare."""
    page = visit("/fork")
    page.locator("#day summary").click()
    page.get_by_label("Gas temperature now").fill("4 °C")
    page.get_by_label("Gas temperature now").press("Tab")
    rests = command_line(
        "sag", str(demo / "dunlin-160.toml"), "--rider", str(demo / "rider.toml"),
        "--bike", str(demo / "bike.toml"), "--temp", "4 °C",
    )  # fmt: skip
    expect(page.locator("#readings")).to_contain_text(f"{rests['sag_m'] * 1e3:.1f} mm")
    page.goto(page.url.replace("/fork", "/compare"))
    expect(page.locator("#day summary")).to_have_text("Day: 4 °C, 0 m, filled at 20 °C and 0 m")
    expect(page.locator("#figures")).to_contain_text(f"{rests['sag_m'] * 1e3:.1f} mm", timeout=30_000)
