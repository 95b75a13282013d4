"""The workbench in Chromium: from a moved slider to the redrawn page, and from the command to the first page.

A redraw is measured inside the browser: from the event that moves the slider to the first task after the
frame in which curves and drawing stand at the new setting. Steps come at the rate of a held key (one each
33 ms) and of a finger that drags (one each 16.7 ms). A newer position may pass an older one, which is then
never drawn, so the age of a redraw counts from the position that it shows.
"""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager

from playwright.sync_api import Browser, Page, sync_playwright

from benchmarks.rows import Row, at_most

ARGUMENTS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
]  # fmt: skip
SLIDERS = {
    "/fork": "#set-setting-pressure",
    "/damper": "#set-setting-rebound",
    "/compare": "#a-setting-pressure",
}
STEPS = 120

# Moves a slider at an even pace and collects the age of every redraw. A question takes the latest position
# along when it is written out to be sent; when that position was taken is noted for the question, and found
# again by the question that a redraw answers.
_MOVE = """([selector, steps, pace]) => new Promise((done) => {
  const slider = document.querySelector(selector);
  const ages = [];
  const taken = new WeakMap();
  let moved = 0;
  const real = JSON.stringify;
  JSON.stringify = (value, ...rest) => {
    if (value?.fork && !taken.has(value)) taken.set(value, moved);
    return real(value, ...rest);
  };
  const redrawn = (event) => {
    const since = taken.get(event.detail);
    if (!since) return;
    requestAnimationFrame(() => {
      const channel = new MessageChannel();
      channel.port1.onmessage = () => ages.push(performance.now() - since);
      channel.port2.postMessage(0);
    });
  };
  document.addEventListener('bench:redrawn', redrawn);
  const [low, high] = [Number(slider.min), Number(slider.max)];
  const middle = Math.round((low + high) / 2), reach = Math.max(1, Math.round((high - low) / 8));
  let step = 0;
  const timer = setInterval(() => {
    if (step >= steps) {
      clearInterval(timer);
      setTimeout(() => {
        JSON.stringify = real;
        document.removeEventListener('bench:redrawn', redrawn);
        done(ages);
      }, 300);
      return;
    }
    const wave = step % (2 * reach);
    slider.value = middle + (wave < reach ? wave : 2 * reach - wave);
    moved = performance.now();
    slider.dispatchEvent(new Event('input', { bubbles: true }));
    step += 1;
  }, pace);
})"""


def measure() -> list[Row]:
    """Return the rows of this file."""
    with sync_playwright() as playwright:
        where = shutil.which("chromium") or "chromium"
        browser = playwright.chromium.launch(executable_path=where, args=ARGUMENTS)
        rows = _first_page(browser)
        with _server() as address:
            time.sleep(2.5)  # the warm-up
            for path, selector in SLIDERS.items():
                rows += _redraws(browser, address, path, selector)
        browser.close()
    return rows


def _redraws(browser: Browser, address: str, path: str, selector: str) -> list[Row]:
    page = browser.new_page(viewport={"width": 1366, "height": 900})
    page.goto(address + path)
    page.locator(".js-line").first.wait_for(state="attached")
    page.wait_for_timeout(1500)
    rows = []
    for name, pace in (("held key", 33.0), ("drag", 1000.0 / 60.0)):
        ages = _ages(page, selector, pace)
        high = ages[int(0.95 * (len(ages) - 1))]
        middle = f"median {ages[len(ages) // 2]:.0f} ms of {len(ages)}"
        rows.append(at_most(f"{path[1:]} page, {name}: slider to redraw, 95 % ({middle})", high / 1e3, 0.050))
    page.close()
    return rows


def _ages(page: Page, selector: str, pace: float) -> list[float]:
    ages: list[float] = page.evaluate(_MOVE, [selector, STEPS, pace])
    return sorted(ages)


# Notes when sliders and readings have been painted, and when the first curve has: milliseconds after the
# page was asked for.
_PAINTED = """
  window.painted = {};
  const note = (name) => requestAnimationFrame(() => {
    const channel = new MessageChannel();
    channel.port1.onmessage = () => { window.painted[name] = performance.now(); };
    channel.port2.postMessage(0);
  });
  const waited = { readings: '#readings dd', curves: '.js-line' };
  new MutationObserver(() => {
    for (const [name, selector] of Object.entries(waited)) {
      if (!document.querySelector(selector)) continue;
      delete waited[name];
      note(name);
    }
  }).observe(document, { childList: true, subtree: true });
"""


def _first_page(browser: Browser) -> list[Row]:
    starts, readings, curves = [], [], []
    for _ in range(3):
        began = time.perf_counter()
        with _server() as address:
            starts.append(time.perf_counter() - began)
            page = browser.new_page(viewport={"width": 1366, "height": 900})
            page.add_init_script(_PAINTED)
            page.goto(f"{address}/fork", wait_until="commit")
            page.locator(".js-line").first.wait_for(state="attached")
            page.wait_for_timeout(300)
            readings.append(page.evaluate("window.painted.readings") / 1e3)
            curves.append(page.evaluate("window.painted.curves") / 1e3)
            page.close()
    return [
        at_most("forkwright serve: address printed", min(starts), 1.5),
        at_most("first page, a browser that was never here: sliders and readings", min(readings), 1.5),
        at_most("first page, a browser that was never here: curves", min(curves), 1.5),
    ]


@contextmanager
def _server() -> Iterator[str]:
    process = subprocess.Popen(
        [sys.executable, "-m", "forkwright", "serve", "--port", "0"], stdout=subprocess.PIPE, text=True
    )
    assert process.stdout is not None
    try:
        found = re.search(r"http://127\.0\.0\.1:\d+", process.stdout.readline())
        assert found
        yield found[0]
    finally:
        process.terminate()
        process.communicate(timeout=20)
