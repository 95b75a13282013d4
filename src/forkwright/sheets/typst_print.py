"""Prints: a template of this room and plain data in, PDF or PNG bytes out; the same data, the same bytes.

Data reach the template as JSON and are never read as markup, so no text can change the print's structure.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import Any, Literal

from forkwright.sheets.fonts import FILES, font_folder, font_order, printable_data

TEMPLATES = Path(__file__).parent / "templates"
#: The date written into every file's properties; what day it is stands in the print where it matters.
FIXED_DATE = datetime(2000, 1, 1, tzinfo=UTC)


@dataclass(frozen=True)
class Printed:
    """A print: its bytes (one page or all of them) and what the reader should know about it."""

    content: bytes
    warnings: tuple[str, ...] = ()


def print_template(
    name: str,
    data: dict[str, Any],
    form: Literal["pdf", "png"] = "pdf",
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
    return Printed(bytes(content), warnings)


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
