"""Put the workbench together: pages, API, guards. All state hangs on the app object, none on a module."""

from __future__ import annotations

import threading
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from importlib.metadata import version

from fastapi import FastAPI

from forkwright.app import failures, guard, navigation
from forkwright.app.api import common, jobs_api
from forkwright.app.assets import Assets
from forkwright.app.blind.desk import Desk
from forkwright.app.compression import CompressAbroad
from forkwright.app.drafts import DraftReader
from forkwright.app.evidence.shelf import Shelf
from forkwright.app.jobs import JobQueue
from forkwright.app.options import Options
from forkwright.app.rendering import Renderer
from forkwright.app.workshop.door import StoreDoor

_ABOUT = (
    "Everything the workbench shows comes from these calls; they are the same calls as the command line's. "
    "Numbers are SI, with the unit as the key's ending; pressures are absolute. Wrong input is answered with "
    "status 422 and the sentence the command line would print."
)


def create_app(options: Options | None = None) -> FastAPI:
    """Build one workbench server.

    Parameters
    ----------
    options : Options, optional
        How it behaves; the defaults serve one technician on one machine.

    Returns
    -------
    fastapi.FastAPI
        The ASGI application. Two applications in one process share nothing.
    """
    options = options or Options()
    app = FastAPI(
        title="forkwright workbench",
        version=version("forkwright"),
        description=_ABOUT,
        docs_url=None,
        redoc_url=None,
        lifespan=_lifespan,
        telemetry={"auto_configure": False, "tracing": False, "metrics": False, "logs": False},
    )
    pages = navigation.discover()
    app.state.options = options
    app.state.drafts = DraftReader(options.kept_units)
    app.state.jobs = JobQueue(options.job_workers)
    app.state.shelf = Shelf()
    app.state.store_door = StoreDoor(options.store)
    app.state.desk = Desk(options.trials)
    app.state.assets = Assets()
    app.state.renderer = Renderer(app.state.assets, [entry.page for entry in pages])
    app.include_router(common.router)
    app.include_router(jobs_api.router)
    for entry in pages:
        app.include_router(entry.router)
    app.mount(app.state.assets.mount_path, app.state.assets.app(), name="static")
    failures.install(app)
    app.state.upkeep = None
    if options.shared:
        from forkwright.app.sharing.install import install

        install(app)
    _guards(app, options, [entry.page for entry in pages])
    return app


def _guards(app: FastAPI, options: Options, pages: list[navigation.Page]) -> None:
    """Wrap the app; the guard added last is met first by a request."""
    larger = {prefix: limit for page in pages for prefix, limit in page.body_limits}
    app.add_middleware(CompressAbroad)
    app.add_middleware(guard.BodyLimit, limit=options.body_limit, larger=larger)
    app.add_middleware(guard.SameSite, hosts=options.allowed_hosts)
    app.add_middleware(guard.SecureHeaders)


@asynccontextmanager
async def _lifespan(app: FastAPI) -> AsyncIterator[None]:
    if app.state.options.warm_up:
        threading.Thread(target=common.warm_up, args=(app,), name="warm-up", daemon=True).start()
    if app.state.upkeep is not None:
        app.state.upkeep.start()
    yield
    if app.state.upkeep is not None:
        app.state.upkeep.stop()
    app.state.jobs.close()
    app.state.shelf.close()
    app.state.store_door.close()
