"""Blind ride tests: plan, sealed key, records, exact statistics, verdict. Knows only labels and runs.

Read in the order of a trial:

before   `request` (what is asked, with `request_errors`), `sizing` and `power` (how many answers it takes),
         `draws`, `orders` and `schedule` (who rides what when), `plan` with its `promises`, `seal` (the key)
during   `folder` (the trial on disk) on `folder_files` and `journal`, `records`, `progress`, `cards`,
         `views`, `cautions`
after    `closing`, `answers` (what counts), `analysis` (which test for which design) with `measured`,
         `comparing` and `further`, on the tests in `forced_choice`, `differences`, `ranks`, `several`,
         `mixed`, `trends` and `belief`; `findings`, `verdict` and `report` say it (`probability_words`)
"""

from forkwright.trial.analysis import Options, analyse, analyse_trial
from forkwright.trial.answers import Answers, counted
from forkwright.trial.cards import Card, next_card
from forkwright.trial.cautions import MASK_CHECKS, SAFETY_CHECKS, Admissible
from forkwright.trial.closing import Opened, close_records, open_key
from forkwright.trial.findings import Analysis, Comparison
from forkwright.trial.folder import Receipt, Trial
from forkwright.trial.plan import Plan, Session, make_plan
from forkwright.trial.progress import typed_by_leader, warmed_up
from forkwright.trial.records import Record, read_record
from forkwright.trial.report import analysis_content, report_content, report_page
from forkwright.trial.request import Option, Request, read_request, request_from_mapping, request_from_text
from forkwright.trial.sizing import Size, choices, size_for
from forkwright.trial.views import leader_view, rider_view

__all__ = [
    "MASK_CHECKS",
    "SAFETY_CHECKS",
    "Admissible",
    "Analysis",
    "Answers",
    "Card",
    "Comparison",
    "Opened",
    "Option",
    "Options",
    "Plan",
    "Receipt",
    "Record",
    "Request",
    "Session",
    "Size",
    "Trial",
    "analyse",
    "analyse_trial",
    "analysis_content",
    "choices",
    "close_records",
    "counted",
    "leader_view",
    "make_plan",
    "next_card",
    "open_key",
    "read_record",
    "read_request",
    "report_content",
    "report_page",
    "request_from_mapping",
    "request_from_text",
    "rider_view",
    "size_for",
    "typed_by_leader",
    "warmed_up",
]
