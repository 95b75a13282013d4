"""Static files: the pages' own modules and styles, and the plotting library.

The address of the static files holds a fingerprint of their content, so that a browser may keep them for
good and still never mixes two versions.
"""

from __future__ import annotations

import gzip
import hashlib
import threading
from pathlib import Path

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import FileResponse, Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles
from starlette.types import ASGIApp, Receive, Scope, Send

from forkwright.sheets import palette
from forkwright.sheets.files import PLOTTING_SCRIPT, SHEET_FILES

_FOLDER = Path(__file__).parent / "static"
_FOREVER = "public, max-age=31536000, immutable"


class Assets:
    """The static files of one server, under an address that changes with their content."""

    def __init__(self) -> None:
        self._compressed: bytes | None = None
        self._lock = threading.Lock()
        self.mount_path = f"/static/{_fingerprint((_FOLDER, SHEET_FILES))}"

    def url(self, name: str) -> str:
        """Return the address of one static file, for example ``css/base.css``."""
        return f"{self.mount_path}/{name}"

    def app(self) -> ASGIApp:
        """Return the ASGI application that serves the files, each marked to be kept."""
        routes = [
            Route(f"/vendor/{PLOTTING_SCRIPT.name}", self._library),
            Route("/css/palette.css", _palette),
            Mount("/vendor", StaticFiles(directory=SHEET_FILES)),
            Mount("/", StaticFiles(directory=_FOLDER)),
        ]
        return _Kept(Starlette(routes=routes))

    def compressed_library(self) -> bytes:
        """Return the plotting library compressed; this is done once for a server."""
        with self._lock:
            if self._compressed is None:
                self._compressed = gzip.compress(PLOTTING_SCRIPT.read_bytes(), 6, mtime=0)
            return self._compressed

    def _library(self, request: Request) -> Response:
        if "gzip" not in request.headers.get("accept-encoding", ""):
            return FileResponse(PLOTTING_SCRIPT, media_type="text/javascript")
        headers = {"content-encoding": "gzip", "vary": "Accept-Encoding"}
        return Response(self.compressed_library(), media_type="text/javascript", headers=headers)


class _Kept:
    """Mark every file that is found as unchanging."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        async def send_kept(message: dict[str, object]) -> None:
            if message["type"] == "http.response.start" and message["status"] in (200, 206, 304):
                headers = message["headers"]
                assert isinstance(headers, list)
                headers.append((b"cache-control", _FOREVER.encode()))
            await send(message)

        await self.app(scope, receive, send_kept)  # type: ignore[arg-type]


def palette_style() -> str:
    """Return the palette as CSS variables: the named colours, and the curves' order on each paper."""
    named = "".join(f"--{name.replace(' ', '-')}:{code};" for name, code in palette.OKABE_ITO.items())

    def ordered(dark: bool) -> str:
        colours = enumerate(palette.series_colours(dark=dark))
        return "".join(f"--series-{place}:{code};" for place, code in colours)

    return f':root{{{named}{ordered(False)}}}\n:root[data-shade="dark"]{{{ordered(True)}}}\n'


async def _palette(_: Request) -> Response:
    return Response(palette_style(), media_type="text/css")


def _fingerprint(folders: tuple[Path, ...]) -> str:
    digest = hashlib.sha256(palette_style().encode())
    for folder in folders:
        for path in sorted(folder.rglob("*")):
            if path.is_file():
                digest.update(path.relative_to(folder).as_posix().encode() + b"\0" + path.read_bytes())
    return digest.hexdigest()[:12]
