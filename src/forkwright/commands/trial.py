"""`forkwright trial`: plan a blind ride test, show cards, keep records, close, open, analyse."""

from __future__ import annotations

import click

from forkwright.commands import trial_plan, trial_result, trial_runs


@click.group("trial")
def command() -> None:
    """Plan, ride and open a blind test.

    A trial is a folder. Everybody sees codes; the mechanic sees the setting of the next code; nobody sees the
    key before the records are closed.
    """


for each in (
    trial_plan.plan,
    trial_runs.status,
    trial_runs.card,
    trial_runs.record,
    trial_runs.close,
    trial_runs.open_trial,
    trial_result.analyse,
    trial_result.report,
):
    command.add_command(each)
