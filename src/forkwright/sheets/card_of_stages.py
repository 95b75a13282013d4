"""Fills the top-tube card from a race plan: tune computes, this lays out."""

from __future__ import annotations

from forkwright.sheets.stage_card import StageCard, StageRow
from forkwright.tune.naming import CLICKS, SHORT
from forkwright.tune.race_plan import StagePlan, StageSetting
from forkwright.tune.stages_words import fixed_lines, turn_words
from forkwright.units import UnitChoice, show


def stage_card_of(
    found: StagePlan, title: str, rider: str = "", units: UnitChoice | None = None
) -> StageCard:
    """Return the card of a race plan: a row a stage, its settings, and what to turn before it.

    Parameters
    ----------
    found : StagePlan
    title, rider : str
        Printed at its head.
    units : UnitChoice, optional
        Units of pressures.
    """
    rows = tuple(
        StageRow(
            one.stage.name,
            tuple(_value(one, name, units) for name in found.between),
            turn_words(found, number),
        )
        for number, one in enumerate(found.stages)
    )
    heads = tuple(SHORT[name].capitalize() for name in found.between)
    return StageCard(title, heads, rows, rider=rider, fixed=fixed_lines(found, units))


def _value(one: StageSetting, name: str, units: UnitChoice | None) -> str:
    value = getattr(one.setting, name)
    return str(value) if name in CLICKS else show(value.si, "pressure", units)
