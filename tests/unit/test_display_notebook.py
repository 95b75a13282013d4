"""Results of the Python face show themselves in a notebook as still pictures, warnings included."""

from __future__ import annotations

import subprocess
import sys
from html import escape
from xml.etree import ElementTree

import pytest

import forkwright as fw

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def fork() -> object:
    return fw.load(fw.demo_file("dunlin-160"))


def test_a_spring_curve_shows_one_picture(fork) -> None:  # type: ignore[no-untyped-def]
    """The picture is well-formed, names the unit and has no script."""
    html = fw.spring_curve(fork)._repr_html_()
    figure = ElementTree.fromstring(html.replace("<ul></ul>", ""))
    svg = figure if figure.tag == f"{SVG}svg" else figure.find(f"{SVG}svg")
    assert svg is not None
    assert "Dunlin 160" in html
    assert "<script" not in html


def test_every_picture_has_ids_of_its_own(fork) -> None:  # type: ignore[no-untyped-def]
    """Two cells of one notebook must not share ids, or one clips by the other's frame."""
    curve = fw.spring_curve(fork)
    first, second = (ElementTree.fromstring(f"<p>{curve._repr_html_()}</p>") for _ in range(2))
    ids = [{e.get("id") for e in page.iter() if e.get("id")} for page in (first, second)]
    assert ids[0]
    assert not ids[0] & ids[1]


def test_a_damping_curve_shows_its_clicks_and_warnings(fork) -> None:  # type: ignore[no-untyped-def]
    """What was assumed stands under the picture."""
    curve = fw.damping_curve(fork)
    html = curve._repr_html_()
    assert "clicks from closed: " in html
    assert curve.warnings
    for warning in curve.warnings:
        assert escape(warning, quote=False) in html


def test_a_drawn_unit_shows_its_band(fork) -> None:  # type: ignore[no-untyped-def]
    """With tolerances drawn, the curve is the median with its band, and the draws stay as they were."""
    from forkwright.hardware import drawn

    curve = fw.spring_curve(drawn(fork, 50, 1))
    before = curve.force.copy()
    banded, plain = (shown._repr_html_() for shown in (curve, fw.spring_curve(fork)))
    assert banded.count("fill-opacity") == plain.count("fill-opacity") + 1
    assert (curve.force == before).all()


@pytest.mark.slow
def test_a_comparison_shows_force_and_difference(fork) -> None:  # type: ignore[no-untyped-def]
    """Both charts of the comparison's report are shown."""
    other = fw.load(fw.demo_file("plover-160"))
    html = fw.compare(fork, other, 350.0)._repr_html_()
    assert "Spring force" in html
    assert "Difference in force" in html


def test_drawing_is_not_loaded_before_a_notebook_asks() -> None:
    """The face stays cheap: using it as a library loads nothing that draws."""
    code = (
        "import sys, forkwright as fw; fw.spring_curve(fw.load(fw.demo_file('dunlin-160')));"
        "print([m for m in sys.modules if m.startswith('forkwright.sheets')])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
