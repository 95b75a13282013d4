"""The fonts of every print: named files of one installed package, never whatever the machine happens to have.

Source Sans 3 serves Latin, Greek and Cyrillic, Kurinto Sans most other scripts and its four variants Chinese,
Japanese and Korean; all under the SIL Open Font License 1.1, shipped by the `weblate-fonts` package. A
character that none of them has is written as its code point, with a warning: it is never dropped in silence.
"""

from __future__ import annotations

import importlib.util
import unicodedata
from collections.abc import Iterable
from functools import cache
from pathlib import Path
from typing import Any

PACKAGE = "weblate_fonts"
LATIN = "Source Sans 3"
WIDE = "Kurinto Sans"
FILES: dict[str, tuple[str, ...]] = {
    LATIN: ("source-sans/ttf/SourceSans3-Regular.ttf", "source-sans/ttf/SourceSans3-Bold.ttf"),
    WIDE: ("kurinto/ttf/KurintoSans-Rg.ttf", "kurinto/ttf/KurintoSans-Bd.ttf"),
    **{
        f"{WIDE} {region}": (
            f"kurinto/ttf/KurintoSans{region}-Rg.ttf",
            f"kurinto/ttf/KurintoSans{region}-Bd.ttf",
        )
        for region in ("SC", "TC", "JP", "KR")
    },
}
HAN_FONTS = tuple(f"{WIDE} {region}" for region in ("SC", "TC", "JP", "KR"))


def font_folder() -> Path:
    """Return the folder of the font package's files.

    Raises
    ------
    FileNotFoundError
        When the package or one of the files is missing: a print in another font would be a silent fallback.
    """
    found = importlib.util.find_spec(PACKAGE)
    if found is None or found.origin is None:
        raise FileNotFoundError("the weblate-fonts package is not installed, and prints need its fonts")
    folder = Path(found.origin).parent / "static" / "weblate_fonts"
    lacking = [name for files in FILES.values() for name in files if not (folder / name).is_file()]
    if lacking:
        raise FileNotFoundError(f"the weblate-fonts package lacks {', '.join(lacking)}")
    return folder


def font_order(texts: Iterable[str]) -> tuple[str, ...]:
    """Return the font families a print looks a character up in, first to last.

    Chinese, Japanese and Korean share code points but not shapes: kana asks for the Japanese shapes, hangul
    for the Korean; otherwise the first variant that has every character of the text comes first.
    """
    joined = "".join(texts)
    kana = any(0x3040 <= ord(char) <= 0x30FF for char in joined)
    hangul = any(0xAC00 <= ord(char) <= 0xD7AF or 0x1100 <= ord(char) <= 0x11FF for char in joined)
    han = {char for char in joined if 0x3400 <= ord(char) <= 0x9FFF or 0xF900 <= ord(char) <= 0xFAFF}
    if kana:
        first = f"{WIDE} JP"
    elif hangul:
        first = f"{WIDE} KR"
    elif han:
        first = min(HAN_FONTS, key=lambda family: len(han - covered(family)))
    else:
        return (LATIN, WIDE, *HAN_FONTS)
    # Before the wide family, which has kana of another cut than the characters they stand among.
    return (LATIN, first, WIDE, *(family for family in HAN_FONTS if family != first))


@cache
def covered(family: str) -> frozenset[str]:
    """Return the characters a family's regular file has a glyph for."""
    from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

    with TTFont(font_folder() / FILES[family][0], lazy=True) as font:
        return frozenset(map(chr, font.getBestCmap()))


def printable(text: str) -> tuple[str, tuple[str, ...]]:
    """Return the text as the fonts can print it, and a warning for each character they cannot.

    Examples
    --------
    >>> printable("Zoë")
    ('Zoë', ())
    """
    lacking = [char for char in dict.fromkeys(text) if not char.isspace() and not _has(char)]
    for char in lacking:
        text = text.replace(char, f"[U+{ord(char):04X}]")
    return text, tuple(
        f"no bundled font has the character U+{ord(char):04X}; it is printed as its code" for char in lacking
    )


def isolated(text: str) -> str:
    """Return a text so that it stands whole among others, even where it runs from right to left.

    Examples
    --------
    >>> isolated("Zoë"), isolated("זואי")
    ('Zoë', '\u2068זואי\u2069')
    """
    right_to_left = any(unicodedata.bidirectional(char) in ("R", "AL") for char in text)
    return f"\u2068{text}\u2069" if right_to_left else text


def printable_data(value: Any) -> tuple[Any, tuple[str, ...]]:
    """Return nested lists, dicts and texts with every text made printable, and the warnings."""
    if isinstance(value, str):
        return printable(value)
    if isinstance(value, dict):
        pairs = {key: printable_data(inner) for key, inner in value.items()}
        return {key: inner for key, (inner, _) in pairs.items()}, _joined(pairs.values())
    if isinstance(value, list | tuple):
        items = [printable_data(inner) for inner in value]
        return [inner for inner, _ in items], _joined(items)
    return value, ()


def _joined(results: Iterable[tuple[Any, tuple[str, ...]]]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(warning for _, warnings in results for warning in warnings))


def _has(char: str) -> bool:
    """Joiners and direction marks need no glyph; everything else needs one in some family."""
    if ord(char) in range(0x200B, 0x2010) or ord(char) in range(0x2028, 0x202F):
        return True
    if ord(char) in range(0x2066, 0x2070) or ord(char) == 0xFEFF:
        return True
    return any(char in covered(family) for family in FILES)
