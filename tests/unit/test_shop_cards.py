"""The step cards: cautions stand where they count, and no figure comes with the program."""

from __future__ import annotations

import re

import pytest

from forkwright.shop.cards import all_cards, card, cards_for, cautions
from forkwright.shop.records import FIGURE_KINDS
from forkwright.units import InputError

# What a step does -> the cautions that must stand at it.
DEMANDS = {
    r"\b(unscrew|open the (chamber|damper))": {"eyes"},
    r"\bvent\b": {"vent", "eyes"},
    r"\bretaining ring while|take out the retainer\b": {"spring", "eyes"},
    r"\b(fit (caliper|the shock)|put the shaft back|close the (can|chamber)|close, wipe)": {"torque"},
    r"\bfill(?! and bleed)\b.*\b(steps|setting|air spring)\b": {"limit"},
    r"\b(caliper|brake, hose)\b": {"brake"},
    r"\blook (at|over) (every|body|the bore)|look over every structural\b": {"damage"},
    r"\bhand over\b|explain the card": {"first_ride"},
    r"\bbleed by\b": {"oil"},
}
OPENING = re.compile(
    r"\b(unscrew|open the (chamber|damper)|draw the air shaft|pull the lowers)", re.IGNORECASE
)
# Lower legs hold no set pressure of their own; their card vents before the first bolt.


def steps():
    return [(each.key, step) for each in all_cards() for step in each.steps]


def test_every_step_carries_the_cautions_its_work_demands():
    """A step that vents, opens, fills, tightens or hands over has the caution at that step."""
    used = set()
    for key, step in steps():
        for pattern, wanted in DEMANDS.items():
            if re.search(pattern, step.do, re.IGNORECASE):
                used.add(pattern)
                assert wanted <= set(step.caution_names), (key, step.do, wanted)
    assert used == set(DEMANDS), "a demand that no card meets proves nothing"


def test_nothing_is_opened_before_a_venting_step():
    """On every card, the first opening comes after, or at, a step that carries the venting caution."""
    openings = 0
    for each in all_cards():
        vented = False
        for step in each.steps:
            vented = vented or "vent" in step.caution_names or "charge" in step.caution_names
            if OPENING.search(step.do):
                openings += 1
                assert vented, (each.key, step.do)
    assert openings >= 5


def test_the_cards_hold_no_figures():
    """No torque, pressure, amount or clearance: not a digit anywhere in cards and cautions."""
    for key, step in steps():
        assert not re.search(r"\d", step.do), (key, step.do)
    for name, text in cautions().items():
        assert not re.search(r"\d", text), name


def test_the_cautions_defer_to_the_maker_where_a_figure_is_needed():
    """Torque, oil and gas charge are the maker's to say."""
    for name in ("torque", "oil", "charge"):
        assert "maker" in cautions()[name]


def test_every_needed_figure_is_of_a_kind_the_shop_can_enter():
    """A card's figures are named as kind and item."""
    for each in all_cards():
        for figure in each.figures:
            kind, item = figure.split(": ", 1)
            assert kind in FIGURE_KINDS
            assert item


def test_every_caution_is_used_and_every_used_caution_exists():
    """No caution lies about unused."""
    used = {name for _key, step in steps() for name in step.caution_names}
    assert used == set(cautions())


def test_cards_are_found_by_kind_and_key():
    """A coil card fits both kinds, the lower-leg card a fork alone, an unknown key is named."""
    assert {"coil-spring-change", "lower-leg-service"} <= {each.key for each in cards_for("fork")}
    assert "lower-leg-service" not in {each.key for each in cards_for("shock")}
    with pytest.raises(InputError, match="lower-leg-service"):
        card("no-such")
