"""What an opened trial shows: analysis and the two-page report, made in one go as a job."""

from __future__ import annotations

from typing import Any

from forkwright.app.jobs import Tell
from forkwright.app.wire import download
from forkwright.trial import Options, Trial, report_content
from forkwright.trial.report import raw_heading, raw_note, raw_rows


def outcome_of(trial: Trial, options: Options, tell: Tell) -> dict[str, Any]:
    """Return analysis, raw data as a table, and the report as a file.

    Parameters
    ----------
    trial : Trial
        It must be open (`InputError` otherwise).
    options : Options
        The Bayesian update, if wanted.
    tell : callable
        Told the share done and what is being done; may raise to stop.
    """
    from forkwright.sheets.trial_report import trial_report_pdf

    tell(0.05, "counting answers and testing them")
    content = report_content(trial, options)
    tell(0.8, "setting the report")
    pdf = trial_report_pdf(content)
    tell(0.98, "done")
    return {
        "analysis": content["analysis"],
        "commitment": content["commitment"],
        "draw_repeats": content["draw_repeats"],
        "cards_shown": content["cards_shown"],
        "raw": {"head": raw_heading(content), "rows": raw_rows(content), "note": raw_note(content)},
        "remarks": content["remarks"],
        "report": download(f"{trial.folder.name}.pdf", "application/pdf", pdf),
    }
