"""Handing the server's parts to the routes, typed; they live on the app object.

The hand-overs are coroutines, so that none of them takes a trip through a thread.
"""

from __future__ import annotations

from typing import Annotated

from fastapi import Depends, Request

from forkwright.app.drafts import DraftReader
from forkwright.app.jobs import JobQueue
from forkwright.app.rendering import Renderer


async def _drafts(request: Request) -> DraftReader:
    found: DraftReader = request.app.state.drafts
    return found


async def _jobs(request: Request) -> JobQueue:
    found: JobQueue = request.app.state.jobs
    return found


async def _renderer(request: Request) -> Renderer:
    found: Renderer = request.app.state.renderer
    return found


Drafts = Annotated[DraftReader, Depends(_drafts)]
Jobs = Annotated[JobQueue, Depends(_jobs)]
Pages = Annotated[Renderer, Depends(_renderer)]
