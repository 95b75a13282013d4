"""Text as it may enter the store: one form for equal words, nothing that a file format cannot carry."""

from __future__ import annotations

import re
import unicodedata

from forkwright.units import InputError

LONGEST_TEXT = 20_000
LONGEST_FILE = 1_000_000

# Letters that Unicode does not take apart, as people type them on a keyboard without them.
_PLAIN_LETTERS = str.maketrans(
    {"ø": "o", "đ": "d", "ð": "d", "ł": "l", "ħ": "h", "ŧ": "t", "ı": "i", "æ": "ae", "œ": "oe", "þ": "th"}
)

# Control characters but tab and line feed, halves of surrogate pairs, and the two that end each plane.
_PLANE_ENDS = "".join(chr(plane << 16 | end) for plane in range(17) for end in (0xFFFE, 0xFFFF))
_NOT_KEPT = re.compile(f"[\\x00-\\x08\\x0b-\\x1f\\x7f-\\x9f\\ud800-\\udfff{_PLANE_ENDS}]")


def clean_text(text: str, *, what: str, longest: int = LONGEST_TEXT) -> str:
    """Return `text` in composed form (NFC) with plain line ends, or say what is wrong with it.

    Control characters, half surrogate pairs and non-characters are refused: neither XML (spreadsheets), nor
    PostgreSQL, nor a printed card can carry them, so they could not come back identical.

    Parameters
    ----------
    text : str
        As typed or read.
    what : str
        The field's name, for the message.
    longest : int
        The longest text allowed, in characters (dimensionless).

    Raises
    ------
    InputError
        Too long, or a character that cannot be kept.

    Examples
    --------
    >>> clean_text("Zoe\\u0308\\r\\nline two", what="name")
    'Zoë\\nline two'
    """
    composed = unicodedata.normalize("NFC", text.replace("\r\n", "\n").replace("\r", "\n"))
    if len(composed) > longest:
        raise InputError(
            "is too long", key=what, value=f"{len(composed)} characters", allowed=f"up to {longest}"
        )
    found = _NOT_KEPT.search(composed)
    if found is not None:
        raise InputError(
            "holds a character that cannot be kept",
            key=what,
            value=f"U+{ord(found.group()):04X}",
            allowed="letters, digits, signs, tabs and line ends",
        )
    return composed


def folded(text: str) -> str:
    """Return `text` for comparing in a search: no case, no accents, full-width letters made plain.

    Examples
    --------
    >>> folded("Ångström ＡＢ, Ødegård")
    'angstrom ab, odegard'

    The result is composed again, as all text of the store: hangul and some Indian vowels are taken apart too.
    """
    spread = unicodedata.normalize("NFKD", text.casefold()).translate(_PLAIN_LETTERS)
    bare = "".join(letter for letter in spread if not unicodedata.combining(letter))
    return " ".join(unicodedata.normalize("NFC", bare.casefold()).split())
