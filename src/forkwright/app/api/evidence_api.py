"""Bringing a file of measurements in: send it, look at it, say what its columns mean, read it."""

from __future__ import annotations

from importlib import resources
from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from fastapi.responses import PlainTextResponse
from starlette.requests import ClientDisconnect

from forkwright.app.acts import changes_nothing
from forkwright.app.api.shapes import JobTaken
from forkwright.app.evidence.answer_shapes import (
    CheckedMapping,
    FileGone,
    HeldFile,
    HeldFiles,
    MappingAnswer,
    MappingFile,
)
from forkwright.app.evidence.questions import LookQuestion, MappingQuestion, MappingTable, MappingText
from forkwright.app.evidence.shelf import Files, Held
from forkwright.app.state import Jobs
from forkwright.app.visitors import Visitor
from forkwright.app.wire import Answer
from forkwright.units import InputError

PREFIX = "/api/evidence"
FILES = f"{PREFIX}/files"
router = APIRouter(prefix=PREFIX, tags=["evidence"])

_BYTES = {
    "requestBody": {
        "required": True,
        "content": {"application/octet-stream": {"schema": {"type": "string", "format": "binary"}}},
    }
}


@router.post("/files", openapi_extra=_BYTES, response_model=HeldFile)
@changes_nothing
async def bring_in(
    request: Request, files: Files, visitor: Visitor, name: Annotated[str, Query(max_length=300)] = "file"
) -> dict[str, Any]:
    """Take in a file as its bytes; it lies on the server under a name of the server's own."""
    arrival = files.arrival(visitor, name)
    try:
        async for part in request.stream():
            arrival.write(part)
        return _account(arrival.complete())
    except ClientDisconnect:
        arrival.drop()
        raise InputError("the file did not arrive whole", file=name) from None
    except BaseException:
        arrival.drop()
        raise


@router.get("/files", response_model=HeldFiles)
def listed(files: Files, visitor: Visitor) -> dict[str, Any]:
    """List this visitor's files that the server still has."""
    return {"files": [_account(held) for held in files.listed(visitor)]}


@router.delete("/files/{key}", response_model=FileGone)
@changes_nothing
def take_away(key: str, files: Files, visitor: Visitor) -> dict[str, Any]:
    """Take a file off the server."""
    files.remove(visitor, key)
    return {"file": key}


@router.post("/look", response_model=JobTaken)
@changes_nothing
def look(question: LookQuestion, files: Files, jobs: Jobs, visitor: Visitor) -> dict[str, str]:
    """Read a file for the first time; a job's result gives its columns and a proposed mapping."""
    from forkwright.app.evidence.reading import look_job

    held = files.find(visitor, question.file)
    sheet = question.sheet or None
    return {"job": jobs.submit(visitor, f"Look at {held.name}", lambda tell: look_job(held, sheet, tell)).key}


@router.post("/check", response_model=CheckedMapping)
@changes_nothing
def check(question: MappingQuestion, files: Files, visitor: Visitor) -> Answer:
    """Say what a mapping makes of a file that was looked at: each channel's range, SI."""
    from forkwright.app.evidence.reading import check_mapping

    return Answer(check_mapping(files.find(visitor, question.file), question.mapping))


@router.post("/read", response_model=JobTaken)
@changes_nothing
def read(question: MappingQuestion, files: Files, jobs: Jobs, visitor: Visitor) -> dict[str, str]:
    """Read a file as its mapping says; a job's result tells what it holds and every fault that was found."""
    from forkwright.app.evidence.reading import read_job

    held = files.find(visitor, question.file)
    sheet = question.sheet or None
    job = jobs.submit(
        visitor, f"Read {held.name}", lambda tell: read_job(held, files, question.mapping, sheet, tell)
    )
    return {"job": job.key}


@router.post("/mapping/read", response_model=MappingAnswer)
@changes_nothing
def read_mapping(question: MappingText) -> Answer:
    """Check a mapping's file, the same that the command line keeps, and return it as a table."""
    from forkwright.evidence import mapping_files

    return Answer(mapping_files.mapping_table(mapping_files.read_mapping(question.toml, question.name)))


@router.post("/mapping/write", response_model=MappingFile)
@changes_nothing
def write_mapping(question: MappingTable) -> dict[str, str]:
    """Return a mapping as the text of a file that the command line reads with `--mapping`."""
    from forkwright.evidence import mapping_files

    return {"toml": mapping_files.mapping_text(mapping_files.mapping_from(question.mapping, "mapping"))}


def _account(held: Held) -> dict[str, Any]:
    return {"file": held.key, "name": held.name, "bytes": held.size, "read": held.mapping is not None}


@router.get("/demo/{name}", response_class=PlainTextResponse)
def demo(name: str) -> PlainTextResponse:
    """Return one of the invented demonstration files, to try the pages with."""
    folder = resources.files("forkwright") / "demo" / "logs"
    known = {entry.name: entry for entry in folder.iterdir()}
    if name not in known:
        raise InputError(
            "no such demonstration file", key="name", value=name, allowed=", ".join(sorted(known))
        )
    return PlainTextResponse(known[name].read_text(encoding="utf-8"))
