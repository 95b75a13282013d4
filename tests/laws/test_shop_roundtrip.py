"""Any rows at all come back identical from every format."""

from __future__ import annotations

import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from forkwright.shop.dump import Dump, column_kinds
from forkwright.shop.export import FORMATS
from forkwright.shop.formats import read_format, write_format
from forkwright.shop.formats_tables import as_cell, as_value, guarded, unguarded
from forkwright.shop.migrations import NEWEST
from forkwright.shop.words import clean_text, folded
from forkwright.units import InputError

KEPT = st.text(st.characters(exclude_categories=["Cs", "Cc"]) | st.sampled_from("\n\t='+-@_x0041;\"")).filter(
    lambda text: not any(ord(letter) & 0xFFFE == 0xFFFE for letter in text)
)
KINDS = column_kinds(NEWEST)
VALUES = {
    str: KEPT,
    int: st.integers(-(2**31) + 1, 2**31 - 1),
    float: st.floats(allow_nan=False, allow_infinity=False),
    bool: st.booleans(),
}


@st.composite
def rows(draw):
    name = draw(st.sampled_from(sorted(KINDS)))
    kinds = KINDS[name]
    row = st.fixed_dictionaries(
        {
            column: st.none() | VALUES[kind] if may_be_empty else VALUES[kind]
            for column, (kind, may_be_empty) in kinds.items()
        }
    )
    return Dump(NEWEST, {name: draw(st.lists(row, max_size=4))})


@pytest.mark.parametrize("name", FORMATS)
@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(dump=rows())
def test_any_rows_come_back_identical(name, dump):
    """Nothing entered, empty text, any letters, any finite number: the same value and type again."""
    with tempfile.TemporaryDirectory() as folder:
        again = read_format(write_format(name, dump, Path(folder)))
    assert again == dump
    assert types_in(again) == types_in(dump)


def types_in(dump):
    return [{key: type(value) for key, value in row.items()} for rows in dump.tables.values() for row in rows]


def test_a_text_longer_than_a_cell_comes_back_from_a_spreadsheet(tmp_path):
    """A unit's file of 100,000 characters, with risky beginnings at the joints, is put together again."""
    kinds = KINDS["unit_version"]
    text = "=x'" * 33_334
    row = {column: None if kind is not str else text for column, (kind, _) in kinds.items()}
    dump = Dump(NEWEST, {"unit_version": [row]})
    assert read_format(write_format("xlsx", dump, tmp_path)) == dump


@given(KEPT)
def test_the_guard_is_taken_off_exactly_once(text):
    """Guarding is undone by unguarding, whatever the text begins with."""
    assert unguarded(guarded(text)) == text
    assert not guarded(text).startswith(("=", "+", "-", "@", "\t", "\n"))


@given(st.sampled_from([str, int, float, bool]), st.data())
def test_a_cell_reads_back_as_its_value(kind, data):
    """Each kind of value survives the way through a table's cell."""
    value = data.draw(st.none() | VALUES[kind])
    assert as_value(as_cell(value), kind, place="here", file=Path("x")) == value


@given(st.text())
def test_cleaning_twice_is_cleaning_once(text):
    """Clean text stays as it is; what cannot be kept is refused as input."""
    try:
        once = clean_text(text, what="x")
    except InputError:
        return
    assert clean_text(once, what="x") == once


@given(st.text())
def test_folding_twice_is_folding_once(text):
    """A folded text folds to itself, so a stored text and a typed word meet."""
    assert folded(folded(text)) == folded(text)


@given(
    KEPT | st.text(st.characters(min_codepoint=0x1100, max_codepoint=0xD7FF, exclude_categories=["Cs", "Cc"]))
)
@example("한국어")
@example("বোঝা")
def test_words_to_search_by_are_kept_like_all_other_text(text):
    """What folding makes of any text is in the store's own form, so that no export of it is ever refused."""
    words = folded(text)
    assert clean_text(words, what="words", longest=len(words)) == words
    assert folded(words) == words
