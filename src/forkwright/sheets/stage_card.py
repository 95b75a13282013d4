"""The card for the top tube: per stage, what to turn at the start of it."""

from __future__ import annotations

from dataclasses import dataclass

from forkwright.sheets.typst_print import Form, Printed, print_on_one_page


@dataclass(frozen=True)
class StageRow:
    """One stage: its name, its settings in the card's column order, and a short reminder."""

    stage: str
    values: tuple[str, ...]
    note: str = ""


@dataclass(frozen=True)
class StageCard:
    """What the top-tube card says; all of it plain text.

    Attributes
    ----------
    title, rider : str
        Race and rider.
    columns : tuple of str
        The adjusters, for example "Pressure", "Rebound".
    rows : tuple of StageRow
        In the order they are ridden; `values` must match `columns`.
    fixed : tuple of str
        What stays the same all day (build, spacers), one line each.
    count_from : str
        How clicks are counted.
    """

    title: str
    columns: tuple[str, ...]
    rows: tuple[StageRow, ...]
    rider: str = ""
    fixed: tuple[str, ...] = ()
    count_from: str = "Clicks count from fully closed."

    def __post_init__(self) -> None:
        """Refuse a row that would stand under the wrong heads."""
        for row in self.rows:
            if len(row.values) != len(self.columns):
                raise ValueError(f"stage '{row.stage}' has {len(row.values)} values, not {len(self.columns)}")


def print_stage_card(card: StageCard, form: Form = "pdf") -> Printed:
    """Print a top-tube card, 210 x 60 mm with cut marks, large enough to read while standing over the bike.

    Parameters
    ----------
    card : StageCard
        What it says.
    form : str
        "pdf", or "png" for a look.
    """
    data = {
        "title": card.title,
        "rider": card.rider,
        "columns": list(card.columns),
        "rows": [[row.stage, *row.values, row.note] for row in card.rows],
        "notes": any(row.note for row in card.rows),
        "fixed": [*card.fixed, card.count_from],
    }
    return print_on_one_page("stage_card.typ", data, form)
