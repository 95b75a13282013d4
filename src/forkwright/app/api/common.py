"""Calls that every page needs: the form of a file, its import and export, and a sign of life."""

from __future__ import annotations

import gc
import logging
import time
from importlib import resources
from typing import Annotated

from fastapi import APIRouter, FastAPI, Response
from fastapi.responses import RedirectResponse
from pydantic import BaseModel, ConfigDict, Field

from forkwright.app.acts import changes_nothing
from forkwright.app.api.shapes import FileAnswer, FormAnswer, HealthAnswer
from forkwright.app.drafts import Draft, edited_text
from forkwright.app.failures import error_body
from forkwright.app.form import form_of
from forkwright.app.visitors import Visitor
from forkwright.app.wire import Answer
from forkwright.hardware import examine, read_text
from forkwright.hardware.files import KINDS, parse_toml

router = APIRouter()
_LOG = logging.getLogger("forkwright.app")

# Seconds that the warm-up leaves to the first page.
_FIRST_PAGE_FIRST = 1.0


class DraftQuestion(BaseModel):
    """One draft."""

    model_config = ConfigDict(extra="forbid")

    draft: Draft


class ImportQuestion(BaseModel):
    """A file that a browser has read."""

    model_config = ConfigDict(extra="forbid")

    text: Annotated[str, Field(max_length=500_000)]
    name: Annotated[str, Field(max_length=200)]


@router.get("/", include_in_schema=False)
def start(visitor: Visitor, response: Response) -> RedirectResponse:  # noqa: ARG001 - makes the token
    """Lead to the first page, and give the browser its token."""
    leading = RedirectResponse("/fork", status_code=307)
    leading.headers.update(response.headers)
    return leading


@router.get("/api/health", tags=["server"], response_model=HealthAnswer)
def health() -> dict[str, str]:
    """Tell that the server is up."""
    return {"status": "up"}


@router.post("/api/form", tags=["files"], response_model=FormAnswer)
@changes_nothing
def form(question: DraftQuestion) -> Answer:
    """Describe a file's entries as a form, and everything that is wrong with them."""
    text = edited_text(question.draft)
    document = parse_toml(text, question.draft.name)
    errors, _ = examine(text, question.draft.name)
    kind = str(document.get("kind"))
    sections = form_of(document, KINDS[kind]) if kind in KINDS else []
    return Answer(
        {
            "kind": kind,
            "name": str(document.get("name", "")),
            "sections": sections,
            "problems": [error_body(error) for error in errors],
        }
    )


@router.post("/api/export", tags=["files"], response_model=FileAnswer)
@changes_nothing
def export(question: DraftQuestion) -> dict[str, str]:
    """Return a draft as the text of a file, comments kept; a draft that is not sound is refused."""
    text = edited_text(question.draft)
    found = read_text(text, question.draft.name)
    return {"name": found.name, "kind": found.kind, "toml": text}


@router.post("/api/import", tags=["files"], response_model=FileAnswer)
@changes_nothing
def import_file(question: ImportQuestion) -> dict[str, str]:
    """Check a file that is to be laid on the bench; the answer names what it is."""
    found = read_text(question.text.removeprefix("\ufeff"), question.name)
    return {"name": found.name, "kind": found.kind, "toml": question.text.removeprefix("\ufeff")}


def warm_up(app: FastAPI) -> None:
    """Import and call what is slow the first time, so that the first slider does not wait for it."""
    time.sleep(_FIRST_PAGE_FIRST)
    try:
        from forkwright.app import compare_answer, show_answer  # noqa: F401 - imported for the sake of it
        from forkwright.bench.damping import damping_curve

        app.state.assets.compressed_library()
        text = (resources.files("forkwright") / "demo" / "dunlin-160.toml").read_text(encoding="utf-8")
        damping_curve(app.state.drafts.unit(Draft(toml=text, edits={})))
        # What is loaded by now stays: looking through it for waste would hold a moving slider up.
        gc.collect()
        gc.freeze()
    except Exception:
        _LOG.exception("the warm-up did not finish; the first answer will be slower")
