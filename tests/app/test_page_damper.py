"""The Damper page's dynamometer, tables and place in a real browser, against the command line's numbers."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect
from tests.app.test_app_access import _SMALL_TARGETS, PHONE, settled, violations
from tests.app.test_dyno_api import told

from forkwright.commands.damper import command as damper_command
from forkwright.commands.dyno import command as dyno_command
from forkwright.units import InputError

pytestmark = pytest.mark.browser
Visit = Callable[..., Page]

# Every drawing of the library from now on, by the chart it is drawn in.
_COUNT_DRAWINGS = """() => {
  window.drawn = [];
  const react = window.Plotly.react;
  window.Plotly.react = (plot, ...rest) => {
    window.drawn.push(plot.parentElement.id);
    return react(plot, ...rest);
  };
}"""


def ran(page: Page) -> None:
    """Run the test that stands in the form, and wait until it is told."""
    page.get_by_role("button", name="Run the test").click()
    expect(page.locator("#dyno-run")).to_be_visible(timeout=20_000)
    expect(page.locator("#dyno-go")).to_be_enabled(timeout=20_000)


def reading(page: Page, name: str) -> str:
    """Return one of the readings of a run."""
    return (
        page.locator("#dyno-readings div", has=page.get_by_text(name, exact=True)).locator("dd").inner_text()
    )


def opened(page: Page, fold: str) -> None:
    """Open one of the folds."""
    page.locator("summary", has_text=fold).click()


def typed(page: Page, label: str, text: str) -> None:
    """Type a text into a field and leave it."""
    field = page.get_by_label(label, exact=True)
    field.fill(text)
    field.press("Tab")


def column(page: Page, table: str, at: int) -> list[float]:
    """Return the numbers in a column of a table."""
    cells = page.locator(f"{table} tbody tr td:nth-child({at})").all_inner_texts()
    return [float(cell) for cell in cells]


def test_a_run_reads_as_the_command_line_says(visit: Visit) -> None:
    """Readings, loops, cycles and pressures of a sine test are `forkwright dyno`'s; a reload keeps them."""
    page = visit("/damper")
    typed(page, "Half the stroke", "30 mm")
    typed(page, "For how long", "2 s")
    ran(page)
    expected = told(dyno_command, "--amplitude", "30 mm", "--duration", "2 s", "--points", "5000")
    assert reading(page, "Peak in compression") == f"{expected['cycle_peak_compression_N'][-1]:.0f} N"
    assert reading(page, "Peak in rebound") == f"{expected['cycle_peak_rebound_N'][-1]:.0f} N"
    assert reading(page, "Energy of a cycle") == f"{expected['cycle_energy_J'][-1]:.2f} J"
    assert reading(page, "Area of the force-speed loop") == f"{expected['hysteresis_N_m_s']:.2f} N m/s"
    assert reading(page, "Fade since the second cycle") == f"{100 * expected['fade']:.2f} %"
    opened(page, "Cycle by cycle")
    energies = column(page, "#dyno-cycles", 2)
    assert energies == pytest.approx(expected["cycle_energy_J"], abs=0.00501)
    page.locator("#chart-dyno-travel summary").click()
    expect(page.locator("#chart-dyno-travel th").last).to_have_text(f"Cycle {len(energies)} (N)")
    forces = column(page, "#chart-dyno-travel", 6)
    per_cycle = len(expected["time_s"]) // len(energies)
    begin = per_cycle * (len(energies) - 1)
    assert forces[0] == pytest.approx(expected["force_N"][begin - 1], abs=0.501)
    assert max(forces) == pytest.approx(max(expected["force_N"][begin:]), abs=0.501)
    page.locator("#chart-dyno-pressures").scroll_into_view_if_needed()
    expect(page.locator("#chart-dyno-pressures .js-line")).to_have_count(4)
    page.reload()
    expect(page.locator("#dyno-run")).to_be_visible()
    assert reading(page, "Energy of a cycle") == f"{expected['cycle_energy_J'][-1]:.2f} J"
    expect(page.locator("#dyno-stale")).to_be_hidden()


def test_a_run_follows_no_slider(visit: Visit) -> None:
    """A slider neither runs the machine again nor draws in it; the run says that it is of another setting."""
    page = visit("/damper")
    ran(page)
    page.locator("#chart-dyno-speed").scroll_into_view_if_needed()
    expect(page.locator("#chart-dyno-travel .js-line").first).to_be_attached()
    rebound = page.get_by_role("slider", name="Rebound")
    rebound.focus()  # leaves the machine's charts behind, drawn or not
    settled(page)
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.evaluate(_COUNT_DRAWINGS)
    for _ in range(3):
        rebound.press("ArrowRight")
    expect(page.locator("#dyno-stale")).to_be_visible()
    page.wait_for_load_state("networkidle")
    assert any(url.endswith("/api/damper") for url in asked)
    folded = ("/dyno", "/speeds", "/clicks", "/openings", "/jobs")
    assert not [url for url in asked if any(part in url for part in folded)]
    assert not [
        name for name in page.evaluate("window.drawn") if name.startswith(("chart-dyno", "chart-opening"))
    ]
    for _ in range(3):
        page.get_by_role("button", name="Undo").click()
    expect(page.locator("#dyno-stale")).to_be_hidden()


def test_a_wrong_test_is_refused_at_its_field(visit: Visit) -> None:
    """What `forkwright dyno` refuses is refused in its words, beside the field; a right one is taken next."""
    page = visit("/damper")
    page.locator("#dyno-tests label", has_text="Step").click()
    typed(page, "Stroke", "300 mm")
    page.get_by_role("button", name="Run the test").click()
    fault = page.locator("#dyno-stroke-fault")
    expect(fault).to_contain_text("out of range")
    with pytest.raises(InputError) as said:
        told(dyno_command, "--test", "step", "--stroke", "300 mm")
    assert fault.inner_text() == str(said.value)
    expect(page.get_by_label("Stroke", exact=True)).to_have_attribute("aria-invalid", "true")
    typed(page, "Stroke", "40 mm")
    ran(page)
    expect(fault).to_be_empty()
    expect(page.locator("#dyno-fading")).to_be_hidden()
    assert column(page, "#dyno-cycles", 1) == [1.0, 2.0]


def test_the_place_is_kept_and_is_the_command_lines(visit: Visit) -> None:
    """Position and altitude give the pressures of `forkwright damper`, also after a reload and on the day."""
    page = visit("/damper")
    expect(page.locator("#chart-damping .js-line").first).to_be_attached()
    typed(page, "Reservoir stands at a compression of", "300 mm")
    expect(page.locator("#damper-position-fault")).to_contain_text("position outside the travel")
    typed(page, "Reservoir stands at a compression of", "20 mm")
    typed(page, "Altitude", "2400 m")
    expected = told(damper_command, "--position", "20 mm", "--altitude", "2400 m", "--speeds", "-1, 0.5 m/s")
    page.reload()
    expect(page.get_by_label("Reservoir stands at a compression of")).to_have_value("20 mm")
    opened(page, "At chosen speeds")
    typed(
        page,
        "Shaft speeds, separated by commas (a bare number is m/s), positive in compression",
        "-1, 0.5 m/s",
    )
    expect(page.locator("#speeds-table tbody tr")).to_have_count(2)
    assert column(page, "#speeds-table", 2) == pytest.approx(expected["force_N"], abs=0.501)
    psi = [pressure / 6894.757 for pressure in expected["reservoir_Pa"]]
    assert column(page, "#speeds-table", 5) == pytest.approx(psi, abs=0.0501)
    page.locator("#chart-chambers summary").click()
    rows = page.locator("#chart-chambers tbody tr")
    expect(rows).to_have_count(201)
    assert column(page, "#chart-chambers", 1)[80] == -1.0
    assert column(page, "#chart-chambers", 4)[80] == pytest.approx(psi[0], abs=0.0501)
    page.goto(page.url.replace("/damper", "/fork"))
    expect(page.locator("#day summary")).to_have_text("Day: 20 °C, 2400 m, filled at 20 °C and 0 m")


@pytest.mark.slow
def test_the_opened_page_is_for_every_eye_and_hand(visit: Visit) -> None:
    """With a run told and every fold open: axe finds nothing, targets are 44 px, a phone scrolls one way."""
    page = visit("/damper", viewport=PHONE)
    ran(page)
    for fold in (
        "Opening and stress against pressure",
        "Cycle by cycle",
        "At chosen speeds",
        "What one click changes",
    ):
        opened(page, fold)
    page.locator("#speeds").fill("0.1, 1")
    page.locator("#speeds").press("Tab")
    expect(page.locator("#speeds-table tbody tr")).to_have_count(2)
    expect(page.locator("#clicks-table tbody tr")).to_have_count(10)
    expect(page.locator("#opening-warnings li").first).to_be_visible()
    settled(page)
    assert not violations(page)
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    assert page.evaluate(_SMALL_TARGETS) == []
    page.emulate_media(color_scheme="dark")
    page.wait_for_timeout(150)
    assert not violations(page, runOnly={"type": "rule", "values": ["color-contrast"]})


def test_curves_over_other_points_bring_their_own_axis(visit: Visit) -> None:
    """Two curves of as many points over other travels do not share a column of the table and the file."""
    page = visit("/damper")
    heads = page.evaluate(
        """async () => {
          const files = performance.getEntriesByType('resource').map((one) => one.name);
          const { Chart } = await import(files.find((name) => name.endsWith('/js/chart.js')));
          const holder = document.createElement('div');
          document.getElementById('main').append(holder);
          const axes = { x: { kind: 'length', label: 'Travel' }, y: { kind: 'force', label: 'Force' } };
          const chart = new Chart(holder, { title: 'Two', ...axes });
          const line = (name, place, full) => ({ name, place, x: [0, full], y: [1, 2] });
          chart.show([line('A', 0, 0.16), line('B', 1, 0.14)]);
          holder.querySelector('details').open = true;
          await new Promise((done) => setTimeout(done));
          return [...holder.querySelectorAll('th')].map((head) => head.textContent);
        }"""
    )
    assert heads == ["Travel (mm)", "A (N)", "Travel, B (mm)", "B (N)"]
