"""`forkwright serve`: open the workbench in the browser, on this machine."""

from __future__ import annotations

import socket
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from forkwright.units.errors import InputError

if TYPE_CHECKING:
    import uvicorn

_LOOPBACK = ("127.0.0.1", "::1", "localhost")


@click.command("serve")
@click.option("--host", default="127.0.0.1", show_default=True, help="Address to listen on.")
@click.option(
    "--port", default=8713, show_default=True, type=click.IntRange(0, 65535), help="Port; 0 takes any."
)
@click.option(
    "--trials",
    type=click.Path(file_okay=False, path_type=Path),
    help="Folder of the blind trials; by default in the user's own folder for this program.",
)
@click.option("--open", "open_browser", is_flag=True, help="Open the first page in the browser.")
def command(host: str, port: int, trials: Path | None, open_browser: bool) -> None:
    """Open the workbench in the browser, on this machine.

    It listens on this machine only, unless --host says otherwise, and needs no network.
    """
    listening = _listen(host, port)
    address = f"http://{_in_address(host)}:{listening.getsockname()[1]}/"
    server = _server(host, trials or Path(click.get_app_dir("forkwright")) / "trials")
    if host not in _LOOPBACK:
        click.echo(
            "Note: other machines on this network can reach this workbench and see its pages.", err=True
        )
    click.echo(f"The workbench is at {address}  (Ctrl+C ends it)")
    # Longer work in one thread must not hold up a moving slider in another by the usual 5 ms a turn.
    sys.setswitchinterval(0.0005)
    if open_browser:
        click.launch(address)
    try:
        server.run(sockets=[listening])
    except KeyboardInterrupt:
        pass
    finally:
        listening.close()


def _listen(host: str, port: int) -> socket.socket:
    """Take the port at once, so that a taken one is a clear message and the address printed is true."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    # With the protocol named, the event loop turns off Nagle's wait on every connection: answers would
    # otherwise come 40 ms late whenever the acknowledgement of their headers is delayed.
    listening = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    try:
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind((host, port))
        listening.listen(128)
    except (OSError, UnicodeError) as fault:
        listening.close()
        reason = getattr(fault, "strerror", None) or str(fault)
        raise InputError(
            f"cannot listen there: {reason}", key="--host/--port", value=f"{host}:{port}"
        ) from None
    return listening


def _server(host: str, trials: Path) -> uvicorn.Server:
    import uvicorn

    from forkwright.app import Options, create_app

    known = Options().allowed_hosts
    everywhere = host in ("0.0.0.0", "::")
    options = Options(allowed_hosts=("*",) if everywhere else (*known, host), trials=trials)
    settings = uvicorn.Config(
        create_app(options),
        log_level="warning",
        access_log=False,
        server_header=False,
        timeout_graceful_shutdown=2,
    )
    return uvicorn.Server(settings)


def _in_address(host: str) -> str:
    return f"[{host}]" if ":" in host else host
