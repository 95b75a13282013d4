"""A filled shop for the tests: invented people and units, with texts that files and sheets trip over."""

from __future__ import annotations

import atexit
import io
import shutil
import tempfile
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from functools import cache
from pathlib import Path

from PIL import Image

from forkwright.shop.accounts import add_account
from forkwright.shop.cards import cautions
from forkwright.shop.conflicts import change_record
from forkwright.shop.inspection import check_list, record_finding
from forkwright.shop.job_book import (
    add_leak_down,
    add_material,
    add_note,
    add_photo,
    record_setting,
    sign,
)
from forkwright.shop.jobs import conclude, hand_over, move, open_job
from forkwright.shop.pictures import take_in
from forkwright.shop.register import add_bike, add_customer, add_figure, add_unit, add_unit_file
from forkwright.shop.service import next_service
from forkwright.shop.store import Store, delete

DEMO = Path(__file__).parents[1] / "src" / "forkwright" / "demo"
PASSWORD = "moorland rain 7"
FORMULA = '=HYPERLINK("http://example.invalid","pay here")'
HARD_TEXTS = (
    FORMULA,
    "+1-1",
    "@SUM(A1)",
    "-2",
    "'quoted",
    "''",
    "\tindented",
    "\nline first",
    " blank first and last ",
    ";=1+1",
    '"; drop table job; --',
    "_x0041_ literal",
    "Зоя · ゾーイ · زوي · 🚵",
    "＝1+1",
    "한국어 · বোঝা · ดอย · हिन्दी",
    "true",
    "007",
    "1e5",
)


def ticking(start: datetime = datetime(2031, 3, 1, 9, 0, tzinfo=UTC)) -> Callable[[], datetime]:
    """Return a clock that goes on one second at every look."""
    state = {"now": start}

    def clock() -> datetime:
        state["now"] += timedelta(seconds=1)
        return state["now"]

    return clock


def picture_bytes(colour: str = "teal", size: tuple[int, int] = (60, 40), kind: str = "PNG") -> bytes:
    """Return the bytes of a small plain picture."""
    out = io.BytesIO()
    Image.new("RGB", size, colour).save(out, format=kind)
    return out.getvalue()


def filled_store(folder: Path) -> Store:
    """Return a store with a finished and an open job, hard texts, a deleted note, a picture, an account."""
    shutil.copytree(_template(), folder, dirs_exist_ok=True)
    return Store.open(folder / "shop.sqlite3", clock=ticking(datetime(2031, 3, 2, tzinfo=UTC)))


@cache
def _template() -> Path:
    folder = Path(tempfile.mkdtemp(prefix="shop-template-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    with Store.open(folder / "shop.sqlite3", clock=ticking()) as store:
        fill(store)
    return folder


def fill(store: Store) -> None:
    """Put the sample shop into an empty store."""
    with store.change(actor="Ines Falk") as session:
        zoe = add_customer(session, name="Zoë Ødegård", phone="+47 000 00 000", email="", remark="ゾーイ")
        bike = add_bike(session, name="Moorland 29", customer_id=zoe.id)
        unit = add_unit(
            session, kind="fork", name="Dunlin 160", serial="D-001", customer_id=zoe.id, bike_id=bike.id
        )
        text = (DEMO / "dunlin-160.toml").read_text(encoding="utf-8")
        add_unit_file(session, unit, text, reason="at intake")
        add_unit_file(session, unit, text + "\n# measured again\n", reason="bore measured again")
        add_figure(
            session,
            kind="wear",
            item="bushing_play",
            value="0.20 mm",
            unit_name="Dunlin 160",
            source="invented manual, p. 1",
        )
        finished = open_job(session, unit, complaint="harsh", rider_mass="82 kg", riding_hours=0.1 + 0.2)
        take_through(session, finished)
        running = open_job(session, unit, complaint=FORMULA, due_on=date(2031, 4, 1))
        for words in HARD_TEXTS:
            add_note(session, running, words)
        add_note(session, running, "long " * 3900)
        gone = add_note(session, running, "written by mistake")
        add_photo(session, running, **vars(take_in(picture_bytes(), store.picture_folder)), caption="scratch")
        add_account(session, name="ines", role="technician", password=PASSWORD)
        session.flush()
        delete(session, gone)
        change_record(session, zoe, {"phone": "-47 111"})


def take_through(session, job) -> None:
    """Bring a job from intake to hand-over."""
    move(session, job, "inspection")
    for item in check_list("fork"):
        if item.structural:
            record_finding(session, job, item=item.key, result="good")
    record_finding(session, job, item="bushing_play", measured="0.12 ± 0.01 mm")
    record_setting(session, job, "before", pressure="70 psi", spacers=1, rebound=9, remark="as found")
    move(session, job, "work")
    add_material(session, job, kind="oil", name="maker's lower leg oil", amount="10 ml", place="damper side")
    add_material(session, job, kind="part", name="wiper set", amount="1", part_number="W-1")
    add_leak_down(
        session, job, chamber="positive", start_pressure="80 psi", end_pressure="79.5 psi", hours=12.0
    )
    record_setting(session, job, "after", pressure="80 psi", spacers=2, rebound=7, sag="32 mm")
    move(session, job, "check")
    conclude(
        session,
        job,
        work_done="lower leg service",
        service=next_service(date(2031, 3, 1), hours=50, hours_a_week=5),
    )
    sign(session, job, role="technician", name="Ines Falk")
    sign(session, job, role="customer", name="Zoë Ødegård", statement=cautions()["first_ride"])
    move(session, job, "ready")
    hand_over(session, job)


__all__ = [
    "DEMO",
    "FORMULA",
    "HARD_TEXTS",
    "fill",
    "filled_store",
    "picture_bytes",
    "take_through",
    "ticking",
]
