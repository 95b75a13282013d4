"""A job's papers: card, report, pressure book; what they say when something is missing."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from openpyxl import load_workbook
from tests.command_line import Cli, in_form
from tests.shop_samples import filled_store

from forkwright.sheets.document import Figure, Table
from forkwright.sheets.document import Warnings as Notes
from forkwright.sheets.job_papers import NOT_SIGNED, JobPapers, book_of_job, card_of_job, papers_of
from forkwright.sheets.job_report import report_of_job
from forkwright.sheets.setup_card import qr_text
from forkwright.shop.accounts_signin import note_link
from forkwright.shop.job_book import record_setting
from forkwright.shop.jobs import job_by_number
from forkwright.units import InputError


@pytest.fixture(scope="module")
def papers(tmp_path_factory: pytest.TempPathFactory) -> JobPapers:
    """Return the papers' contents of the sample shop's finished job."""
    with filled_store(tmp_path_factory.mktemp("papers")) as store, store.look() as session:
        return papers_of(session, job_by_number(session, 1))


def test_the_card_states_the_setting_it_leaves_with(papers: JobPapers) -> None:
    """Pressure, spacers and clicks are those written down; owner, signer and next service stand there."""
    card = card_of_job(papers)
    said = {entry.name: entry.value for entry in card.settings}
    assert said["Main chamber"] == "80.0 psi"
    assert said["Volume spacers"] == "2"
    assert said["Rebound"] == "7 clicks"
    assert (card.owner, card.bike, card.shop) == ("Zoë Ødegård", "Moorland 29", "Ines Falk")
    assert [(entry.name, entry.value) for entry in card.service] == [
        ("After riding", "50 h"),
        ("Or at the latest, on", "2031-05-10"),
    ]
    assert [entry.value for entry in card.checks] == ["32 mm"]
    assert NOT_SIGNED not in card.warnings
    assert any("low-speed compression, high-speed compression" in words for words in card.warnings)
    assert "Main chamber: 80.0 psi" in qr_text(card)


def test_an_unsigned_or_changed_job_gives_drafts(tmp_path: Path) -> None:
    """After a change that breaks the signature, card and report say that they are drafts."""
    with filled_store(tmp_path) as store:
        with store.change("test") as session:
            record_setting(session, job_by_number(session, 1), "after", rebound=8)
        with store.look() as session:
            papers = papers_of(session, job_by_number(session, 1))
    assert NOT_SIGNED in card_of_job(papers).warnings
    notes = next(block for block in report_of_job(papers).blocks if isinstance(block, Notes))
    assert NOT_SIGNED in notes.lines


def test_a_unit_without_a_file_gets_a_card_of_what_was_written(papers: JobPapers) -> None:
    """Nothing is computed for it, and the card says that its limits are those printed on the unit."""
    bare = JobPapers(papers.view)
    card = card_of_job(bare)
    assert [(entry.name, entry.value) for entry in card.settings] == [
        ("Main chamber", "80 psi"),
        ("Volume spacers", "2"),
        ("Rebound", "7 clicks"),
    ]
    assert card.pressures == ()
    assert any("printed on it" in words for words in card.warnings)
    with pytest.raises(InputError, match="no file of this unit"):
        book_of_job(bare)


def test_a_setting_over_the_file_s_limit_gives_no_card(papers: JobPapers) -> None:
    """A limit that a newer file lowered still stops the card."""
    over = papers.unit_text.replace('pressure_limit = "', 'pressure_limit = "70 psi" # "', 1)
    assert over != papers.unit_text
    with pytest.raises(InputError, match="limit"):
        card_of_job(JobPapers(papers.view, over))


def test_no_setting_no_card(papers: JobPapers) -> None:
    """Without the setting it leaves with there is nothing to hand over."""
    view = {**papers.view, "settings": {"before": papers.view["settings"]["before"]}}
    with pytest.raises(InputError, match="not written down"):
        card_of_job(JobPapers(view, papers.unit_text))


def test_the_report_shows_before_and_after(papers: JobPapers) -> None:
    """Curves of both settings, and the settings side by side; softer before than after."""
    blocks = report_of_job(papers).blocks
    force = next(block for block in blocks if isinstance(block, Figure)).chart
    assert [line.name for line in force.lines] == ["As it came in", "As it leaves"]
    before, after = force.lines
    assert (after.y[1:] > before.y[1:]).all()
    settings = next(block for block in blocks if isinstance(block, Table) and block.heads[0] == "Setting")
    assert ("Main chamber, gauge", "70 psi", "80 psi") in settings.rows


def test_words_have_room_and_names_from_right_to_left_keep_their_place(papers: JobPapers) -> None:
    """Columns of words are wide; in "name, mass, manner" each part stands by itself."""
    view = {**papers.view, "rider": {"name": "זואי", "mass": "82 kg", "manner": "fast"}}
    blocks = report_of_job(JobPapers(view, papers.unit_text)).blocks
    visit, inspection = [block for block in blocks if isinstance(block, Table)][:2]
    assert ("Rider", "\u2068זואי\u2069, 82 kg, fast") in visit.rows
    assert visit.texts == (1,)
    assert [inspection.heads[place] for place in inspection.texts] == ["Note"]


def made(cli: Cli, store: Path) -> int:
    """Take a fork in, write its setting down, and return the job's number."""
    demo = Path(__file__).parents[2] / "src" / "forkwright" / "demo" / "dunlin-160.toml"
    status, out, err = cli("job", "--store", store, "new", demo, "--customer", "Oda", "--json")
    assert status == 0, err
    number = int(json.loads(out)["number"])
    cli("job", "--store", store, "setting", number, "after", "--pressure", "80 psi")
    return number


def test_the_command_line_writes_the_papers(cli: Cli, tmp_path: Path) -> None:
    """`job papers` writes card, report and book; its JSON is as published; a wrong ending writes nothing."""
    store = tmp_path / "shop.sqlite3"
    number = made(cli, store)
    files = {name: tmp_path / f"{name}.{end}" for name, end in
             (("card", "pdf"), ("report", "pdf"), ("pressures", "xlsx"))}  # fmt: skip
    options = [each for name, path in files.items() for each in (f"--{name}", path)]
    status, out, err = cli("job", "--store", store, "papers", number, *options, "--json")
    assert status == 0, err
    told = in_form("job-papers", out)
    assert NOT_SIGNED in told["warnings"]
    assert files["card"].read_bytes().startswith(b"%PDF-")
    assert files["report"].read_bytes().startswith(b"%PDF-")
    assert load_workbook(files["pressures"]).worksheets[0]["A1"].value == "Dunlin 160"
    status, _, err = cli("job", "--store", store, "papers", number, "--card", tmp_path / "card.txt")
    assert status == 2
    assert ".pdf" in err
    assert not (tmp_path / "card.txt").exists()
    assert cli("job", "--store", store, "papers", number)[0] == 2


def test_step_cards_print_with_their_cautions(cli: Cli, tmp_path: Path) -> None:
    """`job card --pdf` writes the step card; `job handover --pdf` refuses another ending before it signs."""
    store = tmp_path / "shop.sqlite3"
    number = made(cli, store)
    status, out, _ = cli("job", "--store", store, "card", "air-spring-service", "--pdf", tmp_path / "s.pdf")
    assert status == 0
    assert "Let all air out of every chamber" in out
    assert (tmp_path / "s.pdf").read_bytes().startswith(b"%PDF-")
    refused = cli(
        "job", "--store", store, "handover", number, "--technician", "I", "--pdf", tmp_path / "c.txt"
    )
    assert refused[0] == 2
    _, out, _ = cli("job", "--store", store, "show", number, "--json")
    assert json.loads(out)["signatures"] == []


def test_sign_ins_are_listed(cli: Cli, tmp_path: Path) -> None:
    """`shop signins` lists tries as published; a book without any lists none."""
    status, out, err = cli("shop", "--store", tmp_path / "shop.sqlite3", "signins", "--json")
    assert status == 0, err
    assert in_form("shop-signins", out)["sign_ins"] == []


def test_the_use_of_a_link_is_listed_among_the_sign_ins(cli: Cli, tmp_path: Path) -> None:
    """The first use of a blind test's link stands there as published, once for each address."""
    with filled_store(tmp_path) as store:
        for _ in range(2):
            with store.change("link") as session:
                what = "link: rider of spring-day"
                note_link(session, person="Ash", what=what, address="192.0.2.5", now=store.clock())
    status, out, err = cli("shop", "--store", tmp_path / "shop.sqlite3", "signins", "--json")
    assert status == 0, err
    listed = [(each["name"], each["outcome"]) for each in in_form("shop-signins", out)["sign_ins"]]
    assert listed == [("Ash", "link: rider of spring-day")]
