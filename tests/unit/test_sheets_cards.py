"""Cards and spreadsheets: one page, any script, live formulas, the same bytes every time."""

from __future__ import annotations

import io
import re
import shutil
import subprocess
import zipfile
from dataclasses import replace
from pathlib import Path
from typing import Literal

import numpy as np
import openpyxl
import pytest
import zxingcpp
from PIL import Image

import forkwright as fw
from forkwright.hardware import Unit
from forkwright.sheets import fonts
from forkwright.sheets.card_of_unit import CardDay, CardWords, pressure_book_of, setup_card_of
from forkwright.sheets.pressure_book import FIRST_ROW, write_pressure_book
from forkwright.sheets.setup_card import CAUTIONS, Entry, SetupCard, print_setup_card, qr_text
from forkwright.sheets.stage_card import StageCard, StageRow, print_stage_card
from forkwright.units import InputError, UnitChoice, parse

DUNLIN = fw.load(fw.demo_file("dunlin-160"))
PLOVER = fw.load(fw.demo_file("plover-160"))
NAMES = {
    "accents": "Żółta Łąka, Ærøskøbing, Nguyễn Ü",
    "Cyrillic": "Жаворонок 160",
    "Greek": "Κορυδαλλός",
    "Arabic": "محمد علي",
    "Hebrew": "שלום",
    "Devanagari": "हिन्दी",
    "Thai": "ไทย",
    "Chinese": "山雀 测试骑车",
    "Japanese": "山田さん",
    "Korean": "한국어",
}


def _pages(content: bytes) -> int:
    return len(re.findall(rb"/Type\s*/Page[^s]", content))


@pytest.mark.parametrize("name", NAMES.values(), ids=NAMES.keys())
def test_names_of_every_script_have_glyphs(name: str) -> None:
    """Each script prints without a single replaced character, on one page."""
    printed = print_setup_card(SetupCard(name, (Entry("Main chamber", "85.0 psi"),), owner=name))
    assert printed.warnings == ()
    assert _pages(printed.content) == 1


def test_character_without_a_glyph_is_printed_as_its_code_and_said() -> None:
    """An emoji in a name is never dropped in silence."""
    text, warnings = fonts.printable("Zoë 🚲")
    assert text == "Zoë [U+1F6B2]"
    assert len(warnings) == 1
    assert print_setup_card(SetupCard("🚲", ())).warnings == warnings


def test_shared_characters_take_the_shapes_of_their_language() -> None:
    """Kana asks for Japanese shapes, hangul for Korean, simplified characters for the font that has them."""
    assert fonts.font_order(["山田さん"])[1] == "Kurinto Sans JP"
    assert fonts.font_order(["한국 山"])[1] == "Kurinto Sans KR"
    assert fonts.font_order(["测试骑车"])[1] == "Kurinto Sans SC"
    assert fonts.font_order(["Dunlin"])[0] == "Source Sans 3"


def test_text_from_right_to_left_keeps_its_place_among_others() -> None:
    """Such a name is set apart, so that a figure after it is not drawn into it; others stay as they are."""
    assert fonts.isolated("زوي") + ", 82 kg" == "\u2068زوي\u2069, 82 kg"
    assert fonts.isolated("Зоя ゾーイ") == "Зоя ゾーイ"
    assert fonts.printable("\u2068זואי\u2069")[1] == ()


def test_missing_fonts_stop_the_print(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the font package there is an error, not another font."""
    monkeypatch.setattr(fonts, "PACKAGE", "no_such_font_package")
    with pytest.raises(FileNotFoundError, match="prints need its fonts"):
        fonts.font_folder()


def test_card_repeats_byte_for_byte_and_markup_stays_text() -> None:
    """The same card gives the same bytes; template syntax in a name is printed, not run."""
    card = SetupCard('#panic("x") *b* $y$ <a> \\ @q', (Entry("#let a = 1", "= 3"),))
    assert print_setup_card(card).content == print_setup_card(card).content
    assert _pages(print_setup_card(card, "a4").content) == 1


def test_long_card_shrinks_to_one_page_or_is_refused() -> None:
    """Long texts are set smaller; what cannot be read on one page is an input error."""
    long = SetupCard("Very long " * 12, tuple(Entry(f"Entry {k}", "1") for k in range(30)))
    assert _pages(print_setup_card(long).content) == 1
    with pytest.raises(InputError, match="does not fit on one page"):
        print_setup_card(replace(long, service=long.settings * 4))


def test_settings_too_long_for_a_readable_qr_code_are_refused() -> None:
    """A code too fine for a phone is an input error, not an unreadable card."""
    with pytest.raises(InputError, match="QR code"):
        print_setup_card(SetupCard("Long", (Entry("Entry", "x" * 1500),)))


@pytest.mark.parametrize("name", NAMES.values(), ids=NAMES.keys())
def test_qr_code_reads_back_as_the_plain_settings(name: str) -> None:
    """A reader of its own finds the card's settings, line by line, in any script."""
    card = SetupCard(name, (Entry("Main chamber", "85.0 psi"), Entry("Rebound", "7 clicks")))
    picture = Image.open(io.BytesIO(print_setup_card(card, form="png").content))
    found = [code.text for code in zxingcpp.read_barcodes(picture)]
    assert found == [qr_text(card)]
    assert found[0].splitlines() == [name, "Main chamber: 85.0 psi", "Rebound: 7 clicks"]


@pytest.mark.parametrize("paper", ["a5", "a4"])
@pytest.mark.parametrize("name", [*NAMES.values(), "Dunlin 160 " + "with a very long name " * 4])
def test_the_square_on_the_printed_page_reads_back(
    name: str, paper: Literal["a5", "a4"], tmp_path: Path
) -> None:
    """The PDF as a printer sets it, at 150 dots an inch: an outside reader finds the plain settings."""
    if (setter := shutil.which("pdftoppm")) is None:
        pytest.skip("no program here that sets a PDF")
    settings = (Entry("Main chamber", "85.0 psi"), Entry("Volume spacers", "2"), Entry("Rebound", "7 clicks"))
    card = SetupCard(name, settings, date="2031-05-02", checks=(Entry("Sag measured", "32 mm"),))
    (tmp_path / "card.pdf").write_bytes(print_setup_card(card, paper).content)
    command = [setter, "-r", "150", "-png", "-singlefile", str(tmp_path / "card.pdf"), str(tmp_path / "card")]
    subprocess.run(command, check=True)
    found = [code.text for code in zxingcpp.read_barcodes(Image.open(tmp_path / "card.png"))]
    assert found == [qr_text(card)]
    assert found[0].splitlines()[1:] == [
        "Main chamber: 85.0 psi", "Volume spacers: 2", "Rebound: 7 clicks", "Sag measured: 32 mm"
    ]  # fmt: skip


def test_card_of_a_unit_says_what_to_set_and_what_the_gauge_shows_later() -> None:
    """Settings, the set point's own cell, falling readings with cold, and rising ones with altitude."""
    words = CardWords(owner="Zoë", service=(("Lower legs", "50 h"),))
    card = setup_card_of(DUNLIN, words=words)
    assert ("Main chamber", "85.0 psi") in {(entry.name, entry.value) for entry in card.settings}
    assert card.cautions == CAUTIONS
    table = card.pressures[0]
    at_set = next(row for row in table.rows if row[0] == "20 °C")
    assert at_set[1] == "85.0 psi"
    numbers = np.array([[float(cell.split()[0]) for cell in row[1:]] for row in table.rows])
    assert (np.diff(numbers, axis=0) > 0).all()
    assert (np.diff(numbers, axis=1) > 0).all()


def test_card_warns_where_heat_would_pass_the_limit() -> None:
    """A chamber set just under its limit gets a warning for the warm rows, and none when set low."""
    high = setup_card_of(DUNLIN, DUNLIN.setting.changed(pressure=118 * 6894.757))
    assert any("above its limit of 120.0 psi" in warning for warning in high.warnings)
    assert not any("above its limit" in warning for warning in setup_card_of(DUNLIN).warnings)


def test_card_warns_of_every_chamber_that_heat_takes_past_its_limit() -> None:
    """The secondary and the negative chamber have limits of their own, and the card knows them."""
    high = setup_card_of(PLOVER, PLOVER.setting.changed(floating="290 psi"))
    told = [warning for warning in high.warnings if "above its limit" in warning]
    assert told == [
        "From 30 °C up the secondary chamber can stand above its limit of 300.0 psi: let air out before it "
        "gets that warm."
    ]
    spring = DUNLIN.air_spring
    assert spring is not None
    valve = {"negative": "valve", "transfer": None, "negative_pressure_limit": parse("90 psi", "pressure")}
    unit = DUNLIN.model_copy(update={"air_spring": spring.model_copy(update=valve)})
    card = setup_card_of(unit, DUNLIN.setting.changed(pressure="60 psi", negative_pressure="84 psi"))
    told = [warning.split(" can ")[0] for warning in card.warnings if "above its limit" in warning]
    assert told == ["From 30 °C up the negative chamber"]


def test_setting_over_the_limit_makes_no_card() -> None:
    """A card never tells anyone to set more than the unit may hold."""
    with pytest.raises(InputError, match="pressure"):
        setup_card_of(DUNLIN, DUNLIN.setting.changed(pressure=130 * 6894.757))


def test_stage_card_refuses_values_under_the_wrong_heads() -> None:
    """A row with too few values is an error; a sound card prints on one page."""
    with pytest.raises(ValueError, match="has 1 values, not 2"):
        StageCard("Race", ("Pressure", "Rebound"), (StageRow("1", ("85 psi",)),))
    card = StageCard(
        "Race", ("Pressure",), (StageRow("1 Żuraw", ("85 psi",), "roots"),), fixed=("2 spacers",)
    )
    printed = print_stage_card(card)
    assert _pages(printed.content) == 1
    assert printed.content == print_stage_card(card).content


def _formula_value(cells: dict[str, float], formula: str) -> float:
    """Work a formula out with arithmetic of its own: references, + - * / ^ and brackets only."""
    text = re.sub(r"\$?([A-Z]+)\$?(\d+)", lambda m: f"({cells[m.group(1) + m.group(2)]!r})", formula[1:])
    assert re.fullmatch(r"[\d.eE+\-*/^() ]+", text), text
    return float(eval(text.replace("^", "**")))


@pytest.mark.parametrize("unit", [DUNLIN, PLOVER], ids=lambda unit: unit.name)
@pytest.mark.parametrize("pressure", ["psi", "bar"])
def test_live_formulas_agree_with_the_bench(unit: Unit, pressure: str) -> None:
    """Worked out afresh, each cell's formula gives the reading that the bench put beside it."""
    units = UnitChoice(pressure=pressure, temperature="°F" if pressure == "psi" else "°C")
    day = CardDay(temperature=288.15, altitude=400.0)
    content = write_pressure_book(pressure_book_of(unit, day=day, units=units))
    live = openpyxl.load_workbook(io.BytesIO(content)).worksheets[0]
    shown = openpyxl.load_workbook(io.BytesIO(content), data_only=True).worksheets[0]
    cells = {
        c.coordinate: float(c.value)
        for row in live.iter_rows()
        for c in row
        if isinstance(c.value, int | float)
    }
    checked = 0
    for row in live.iter_rows(min_row=FIRST_ROW + 1):
        for cell in row:
            if isinstance(cell.value, str) and cell.value.startswith("="):
                value = _formula_value(cells, cell.value)
                assert value == pytest.approx(float(shown[cell.coordinate].value), rel=1e-6)
                checked += 1
    assert checked == 6 * 4


def test_book_repeats_and_never_reads_a_name_as_a_formula() -> None:
    """Same bytes twice; a name that looks like a formula is kept as text."""
    hostile = DUNLIN.model_copy(update={"name": '=HYPERLINK("x")'})
    content = write_pressure_book(pressure_book_of(hostile))
    assert content == write_pressure_book(pressure_book_of(hostile))
    sheet = openpyxl.load_workbook(io.BytesIO(content)).worksheets[0]
    assert sheet["A1"].value == '=HYPERLINK("x")'
    with zipfile.ZipFile(io.BytesIO(content)) as book:
        assert "<f>HYPERLINK" not in book.read("xl/worksheets/sheet1.xml").decode()
