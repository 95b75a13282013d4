"""The comparison's report: computed sentences, safe text, self-contained page, repeatable print."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import forkwright as fw
from forkwright.bench.bands import Band
from forkwright.bench.loads import fork_load, rear_wheel_load
from forkwright.bench.rear_sag import WheelSag, wheel_sag
from forkwright.cli import main
from forkwright.hardware import Bike, Rider, Unit, load, load_unit
from forkwright.sheets.chart import Chart, Line
from forkwright.sheets.chart_print import draw_chart
from forkwright.sheets.charts import plotly_figure
from forkwright.sheets.compare_report import ReportWishes, compare_report
from forkwright.sheets.compare_words import summary_sentences
from forkwright.sheets.document import Cell, Figure, Gallery, Movers, Report, Table, Warnings
from forkwright.sheets.html_report import chart_tables, write_html
from forkwright.sheets.pdf_report import print_report
from forkwright.tune.compare import Comparison, compare
from forkwright.units import UnitChoice, parse, show

HOSTILE = "</script><img src=x onerror=alert(1)>&\"' *x* #set $y$"


def _renamed(unit: Unit, name: str) -> Unit:
    return unit.model_copy(update={"name": name})


def _compared(a: Unit, b: Unit) -> Comparison:
    weight = fork_load(load(fw.demo_file("rider")), load(fw.demo_file("bike")))
    return compare(a, b, float(weight.axial), side_load=float(weight.side), draws=200)


@pytest.fixture(scope="module")
def comparison() -> Comparison:
    dunlin, plover = (fw.load(fw.demo_file(name)) for name in ("dunlin-160", "plover-160"))
    return _compared(_renamed(dunlin, HOSTILE), plover)


def test_page_is_self_contained_and_escapes_every_name(comparison: Comparison) -> None:
    """No element of the page points outside it, and a hostile name never becomes markup or script."""
    page = write_html(compare_report(comparison, ReportWishes(rider=HOSTILE)))
    body = re.sub(r"<script>.*?</script>", "", page, flags=re.S)
    assert "<img" not in body
    assert not re.search(r'(?:src|href)\s*=\s*["\']?(?:https?:)?//', body)
    assert "default-src 'none'" in page
    data = re.search(r'<script type="application/json" id="figures">(.*?)</script>', page, flags=re.S)
    assert data is not None
    figures = json.loads(data.group(1))
    assert any("&lt;/script&gt;" in line.get("name", "") for line in figures[0]["data"])
    assert page.count("* plotly.js (cartesian") == 1


def test_page_has_the_drawings_at_extension_sag_and_full_travel(comparison: Comparison) -> None:
    """Each fork is drawn at 0, at its sag and at full travel, and once more to be moved."""
    report = compare_report(comparison)
    all_drawings = [block for block in report.blocks if isinstance(block, Gallery)]
    galleries = [g for g in all_drawings if any("at sag" in picture.caption for picture in g.pictures)]
    assert len(galleries) == 2
    for gallery in galleries:
        captions = [picture.caption for picture in gallery.pictures]
        assert [c.split(", ")[-1] for c in captions][0::2] == ["0.0 mm", "160.0 mm"]
        assert "at sag" in captions[1]
    page = write_html(report)
    ids = re.findall(r' id="([^"]+)"', re.sub(r"<script>.*?</script>", "", page, flags=re.S))
    assert len(ids) == len(set(ids))


def test_the_slider_tells_the_travel_in_the_reader_s_unit(comparison: Comparison) -> None:
    """The page is told the unit of lengths, and how many millimetres one is."""
    for length, millimetres in (("mm", 1.0), ("in", 25.4)):
        report = compare_report(comparison, ReportWishes(units=UnitChoice(length=length)))
        (movers,) = [block for block in report.blocks if isinstance(block, Movers)]
        for moving in movers.items:
            unit = moving.motion["travel_unit"]
            assert unit["symbol"] == length
            assert unit["mm"] == pytest.approx(millimetres)


def test_assumed_values_keep_their_mark(comparison: Comparison) -> None:
    """A value assumed in the file bears a mark in the table, and the mark is explained on the page."""
    report = compare_report(comparison)
    tables = [block for block in report.blocks if isinstance(block, Table)]
    cells = [value for table in tables for row in table.rows for value in row if isinstance(value, Cell)]
    assert any(cell.origin == "assumed" for cell in cells)
    assert "assumed, not measured" in write_html(report)


def test_warnings_come_first(comparison: Comparison) -> None:
    """Warnings of the comparison are the report's first block; without any there is no such block."""
    report = compare_report(comparison)
    assert comparison.warnings
    assert isinstance(report.blocks[0], Warnings)
    assert report.blocks[0].lines == comparison.warnings


def test_sentences_follow_the_figures() -> None:
    """Compared with itself a fork differs nowhere, and swapping the two swaps who is said to be firmer."""
    dunlin, plover = (fw.load(fw.demo_file(name)) for name in ("dunlin-160", "plover-160"))
    same = " ".join(summary_sentences(_compared(dunlin, _renamed(dunlin, "Twin")), UnitChoice()))
    assert "Nowhere in the travel" in same
    assert "Both firm up alike" in same
    one = summary_sentences(_compared(dunlin, plover), UnitChoice())
    other = summary_sentences(_compared(plover, dunlin), UnitChoice())
    assert one[2].endswith("less.") != other[2].endswith("less.")
    harder = re.compile(r"where (.+?) pushes back (\d+) N harder")
    first, second = harder.search(one[1]), harder.search(other[1])
    assert first is not None
    assert second is not None
    assert first.groups() == second.groups()


def test_the_largest_difference_told_is_one_that_can_be_told(comparison: Comparison) -> None:
    """Where the largest gap lies within the tolerances, the largest outside them is named."""
    travel, flat = np.array([0.0, 0.08, 0.16]), np.zeros(3)
    difference = replace(
        comparison.difference,
        travel=travel,
        force=np.array([10.0, 30.0, -90.0]),
        band=Band(np.array([5.0, 20.0, -200.0]), flat, np.array([15.0, 40.0, 20.0])),
        beyond=np.array([True, True, False]),
        stretches=((0.0, 0.08),),
    )
    said = summary_sentences(replace(comparison, difference=difference), UnitChoice())[1]
    assert "most at 80.0 mm, where Plover 160 pushes back 30 N harder" in said


def test_print_repeats_byte_for_byte(comparison: Comparison) -> None:
    """The same report printed twice gives the same bytes, in a PDF with its own fonts only."""
    report = compare_report(comparison)
    first, second = print_report(report), print_report(report)
    assert first.content == second.content
    assert first.content.startswith(b"%PDF")
    assert first.warnings == ()


def test_unknown_block_is_refused() -> None:
    """A block no writer knows is an error, not a gap in the print."""
    with pytest.raises(TypeError, match="no print"):
        print_report(Report("t", "", ("words",)))  # type: ignore[arg-type]


def _chart() -> Chart:
    x = np.array([0.0, 50.0, 100.0])
    y = np.array([1.0, np.nan, 3.0])
    return Chart("t <b>", "travel, mm", "force, N", (Line("a & <i>", x, y, y - 1, y + 1),))


def test_missing_values_are_gaps_in_both_charts() -> None:
    """NaN becomes a gap: null on the page, a broken line on the print, never a number."""
    figure = plotly_figure(_chart())
    text = json.dumps(figure, allow_nan=False)
    assert figure["data"][-1]["y"] == [1.0, None, 3.0]
    assert "&lt;i&gt;" in text
    still = draw_chart(_chart())
    assert "nan" not in still.lower()
    assert still.count("<polyline") == 2
    assert "<b>" not in still


def test_the_numbers_behind_a_chart_are_those_of_every_line() -> None:
    """Lines over other x values have a table of their own; what is missing is a dash, not a number."""
    short, long = np.array([0.0, 50.0]), np.array([0.0, 45.0, 90.0])
    lines = (
        Line("a", short, short + 1),
        Line("b", long, np.array([7.0, np.nan, 9.0])),
        Line("c", short, short),
    )
    tables = chart_tables(Chart("t", "travel, mm", "force, N", lines))
    assert tables == [
        (["travel, mm", "a", "c"], [["0", "1", "0"], ["50", "51", "50"]]),
        (["travel, mm", "b"], [["0", "7"], ["45", "–"], ["90", "9"]]),
    ]


def test_bands_are_explained_where_there_are_bands_alone() -> None:
    """A report without a band does not explain what a band holds."""
    x = np.arange(3.0)
    for line, told in ((Line("a", x, x), False), (Line("a", x, x, x - 1, x + 1), True)):
        page = write_html(Report("t", "", (Figure(Chart("t", "x", "y", (line,))),)))
        assert ("Bands hold" in page) is told


def test_chart_refuses_lines_it_would_draw_short() -> None:
    """Unequal lengths and half a band are errors."""
    x = np.arange(3.0)
    with pytest.raises(ValueError, match="differ in length"):
        Chart("t", "x", "y", (Line("a", x, x[:2]),))
    with pytest.raises(ValueError, match="both its edges"):
        Chart("t", "x", "y", (Line("a", x, x, low=x),))


def test_every_curve_has_its_own_colour_and_line_style() -> None:
    """Curves part by line style as well as by colour, on light and on dark paper."""
    x = np.arange(3.0)
    chart = Chart("t", "x", "y", tuple(Line(str(k), x, x + k, place=k) for k in range(5)))
    for dark in (False, True):
        lines = [trace["line"] for trace in plotly_figure(chart, dark=dark)["data"]]
        assert len({line["color"] for line in lines}) == 5
        assert len({line["dash"] for line in lines}) == 5


def test_two_forks_of_one_name_are_told_apart() -> None:
    """Compared with a later state of itself, a fork is called A and B everywhere."""
    dunlin = fw.load(fw.demo_file("dunlin-160"))
    report = compare_report(_compared(dunlin, dunlin))
    words = " ".join(summary_sentences(_compared(dunlin, dunlin), UnitChoice()))
    assert "Dunlin 160 (A)" in words
    assert "Dunlin 160 (B)" in words
    captions = [b.pictures[0].caption for b in report.blocks if isinstance(b, Gallery)]
    assert captions[0] != captions[1]


def test_the_report_of_two_shocks_tells_the_sag_at_the_wheel(tmp_path: Path) -> None:
    """Page and print say where the rear wheel rests on each shock, with the numbers the bench gives."""
    files = [str(fw.demo_file(name)) for name in ("linnet-65", "pipit-65")]
    page = tmp_path / "both.html"
    main(
        ["sheet", "report", *files, "--rider", "82 kg", "--bike", str(fw.demo_file("bike")),
         "--out", str(page), "--draws", "200"]
    )  # fmt: skip
    text = page.read_text("utf-8")
    for path in files:
        found = _at_the_wheel(path)
        sag, full = show(found.middle, "length"), show(found.full, "length")
        assert f"at the wheel under {show(found.wheel_load, 'force')}: sag {sag} " in text
        assert f'<td dir="auto">{sag}</td>' in text
        assert f'<td dir="auto">{100 * found.middle / found.full:.1f} %</td>' in text
        assert full in text
    assert "Sag at the wheel, band left by friction" in text
    # the second shock has a coil: nothing is said of pressures it does not have
    assert "Linnet 65, positive chamber" in text
    assert "Pipit 65, positive chamber" not in text
    end = re.search(r"End pressure, slow</th><td[^>]*>([^<]*)</td><td[^>]*>([^<]*)</td>", text)
    assert end is not None
    assert end.group(1).endswith(" psi")
    assert end.group(2) == "–"
    forks = compare_report(_compared(*(fw.load(fw.demo_file(name)) for name in ("dunlin-160", "plover-160"))))
    assert "at the wheel" not in write_html(forks)


def _at_the_wheel(path: str) -> WheelSag:
    bike = load(fw.demo_file("bike"))
    assert isinstance(bike, Bike)
    rider = Rider(name="rider", mass=parse("82 kg", "mass"))
    return wheel_sag(load_unit(path), bike, float(rear_wheel_load(rider, bike)))
