"""The workshop's book as JSON; what the pages send and anyone on this machine may."""

from __future__ import annotations

from fastapi import APIRouter

from forkwright.app.workshop import book_api, job_api, paper_api

PREFIX = "/api/workshop"
PICTURES = f"{PREFIX}/pictures"

router = APIRouter(
    prefix=PREFIX,
    tags=["workshop"],
    responses={
        403: {"description": "this account's role may not do that"},
        409: {"description": "someone else was faster: each field as both started, mine and theirs"},
        422: {"description": "wrong input, in one sentence"},
        503: {"description": "a trouble of the store, in words"},
    },
)
router.include_router(job_api.router)
router.include_router(paper_api.router)
router.include_router(book_api.router)
