"""Step cards for the work itself, with the cautions at the step where they count.

The cards are general and defer to the maker's manual: they hold no torque, pressure or amount. Where a step
needs a figure, the card names which, and the shop's own entry (`forkwright.shop.records.Figure`) is shown, or
the gap is.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from forkwright.units import InputError

FOLDER = Path(__file__).parent / "card_texts"
MANUAL_FIRST = "The maker's manual for this unit comes first: where it says otherwise, it is right."


@dataclass(frozen=True)
class Step:
    """One thing to do, with the cautions (full sentences) to read before doing it."""

    do: str
    cautions: tuple[str, ...]
    caution_names: tuple[str, ...]


@dataclass(frozen=True)
class Card:
    """A piece of work, step by step. `figures` names what the shop must have looked up, as "kind: item"."""

    key: str
    title: str
    kinds: tuple[str, ...]
    figures: tuple[str, ...]
    steps: tuple[Step, ...]


def cards_for(kind: str) -> tuple[Card, ...]:
    """Return the cards that fit a "fork" or a "shock", by key."""
    return tuple(card for card in all_cards() if kind in card.kinds)


def card(key: str) -> Card:
    """Return one card.

    Raises
    ------
    InputError
        There is none of that name.
    """
    for each in all_cards():
        if each.key == key:
            return each
    raise InputError(
        "there is no such card", key="card", value=key, allowed=", ".join(each.key for each in all_cards())
    )


@cache
def cautions() -> dict[str, str]:
    """Return the wording of every caution, by name."""
    table = tomllib.loads((FOLDER / "cautions.toml").read_text(encoding="utf-8"))
    return {name: str(entry["text"]) for name, entry in table.items()}


@cache
def all_cards() -> tuple[Card, ...]:
    """Return every card, by key."""
    return tuple(_read(path) for path in sorted(FOLDER.glob("*.toml")) if path.stem != "cautions")


def _read(path: Path) -> Card:
    table = tomllib.loads(path.read_text(encoding="utf-8"))
    return Card(
        key=path.stem,
        title=table["title"],
        kinds=tuple(table["kinds"]),
        figures=tuple(table["figures"]),
        steps=tuple(
            Step(
                do=step["do"],
                cautions=tuple(cautions()[name] for name in step.get("cautions", ())),
                caution_names=tuple(step.get("cautions", ())),
            )
            for step in table["steps"]
        ),
    )
