"""Prints: a template of this room and plain data in, PDF or PNG bytes out; the same data, the same bytes.

Data reach the template as JSON and are never read as markup, so no text can change the print's structure.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from typing import Any, Literal

from forkwright.sheets.files import TEMPLATES
from forkwright.sheets.fonts import FILES, font_folder, font_order, printable_data
from forkwright.units import InputError

Form = Literal["pdf", "png"]
SIZES = (1.0, 0.9, 0.8, 0.7)  # of the usual type size, tried in turn
TOO_LONG = "more than one page"  # what a one-page template panics with

#: The date in every file's properties; what day it is stands in the print where it matters.
FIXED_DATE = datetime(2000, 1, 1, tzinfo=UTC)


@dataclass(frozen=True)
class Printed:
    """A print: its bytes (one page or all of them) and what the reader should know about it."""

    content: bytes
    warnings: tuple[str, ...] = ()


def print_template(
    name: str,
    data: dict[str, Any],
    form: Form = "pdf",
    resolution: float = 144.0,
) -> Printed:
    """Fill a template.

    Parameters
    ----------
    name : str
        File in `templates/`, for example "setup_card.typ".
    data : dict
        JSON-ready values; drawings as SVG text. Characters without a glyph are replaced by their code.
    form : str
        "pdf", or "png" for a look at the first page.
    resolution : float
        Dots per inch of a PNG.

    Returns
    -------
    Printed

    Raises
    ------
    FileNotFoundError
        When a font is missing.
    """
    import typst

    drawings = {key: value for key, value in data.items() if key == "drawings"}
    texts, warnings = printable_data({key: value for key, value in data.items() if key != "drawings"})
    filled = {**texts, **drawings, "fonts": list(font_order(_texts(texts)))}
    # A fresh compiler per print: nothing of one customer's data stays behind for the next.
    compiler = typst.Compiler(str(TEMPLATES / name), root=str(TEMPLATES), font_paths=_fonts())
    result = compiler.compile(
        format=form,
        ppi=resolution,
        sys_inputs={"data": json.dumps(filled, ensure_ascii=False, allow_nan=False)},
        timestamp=FIXED_DATE,
    )
    content = result[0] if isinstance(result, list) else result
    if content is None:
        raise RuntimeError(f"{name}: the print came out empty")
    return Printed(content, warnings)


def print_on_one_page(name: str, data: dict[str, Any], form: Form = "pdf") -> Printed:
    """Fill a template that must stay on one page, in smaller type when it has to.

    Raises
    ------
    InputError
        When the text does not fit in the smallest type that can still be read.
    """
    import typst

    for size in SIZES:
        try:
            return print_template(name, {**data, "size": size}, form)
        except typst.TypstError as fault:
            if TOO_LONG not in str(fault):
                raise
    raise InputError("the card's text does not fit on one page; shorten names or notes", key="card")


@cache
def _fonts() -> Any:
    import typst

    folder = font_folder()
    files = {str((folder / name).parent) for names in FILES.values() for name in names}
    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=sorted(files))


def _texts(value: Any) -> list[str]:
    if isinstance(value, str):
        return [value]
    if isinstance(value, dict):
        return [text for inner in value.values() for text in _texts(inner)]
    if isinstance(value, list):
        return [text for inner in value for text in _texts(inner)]
    return []
