"""`forkwright serve`: open the workbench in the browser, on this machine."""

from __future__ import annotations

import socket
import sys
from contextlib import closing, suppress
from pathlib import Path
from typing import TYPE_CHECKING

import click

from forkwright.commands.shop_store import default_store, told_plainly, user
from forkwright.units.errors import InputError

if TYPE_CHECKING:
    import uvicorn

    from forkwright.app import Options

_LOOPBACK = ("127.0.0.1", "::1", "localhost")
_EVERYWHERE = "0.0.0.0"
_FILE = click.Path(exists=True, dir_okay=False, path_type=Path)


@click.command("serve")
@click.option(
    "--host",
    help="Address to listen on; by default this machine alone, with --share every address of it.",
)
@click.option(
    "--port", default=8713, show_default=True, type=click.IntRange(0, 65535), help="Port; 0 takes any."
)
@click.option(
    "--store",
    "where",
    envvar="FORKWRIGHT_STORE",
    help="The shop store's file or postgresql:// address; by default in the user's own folder.",
)
@click.option(
    "--trials",
    type=click.Path(file_okay=False, path_type=Path),
    help="Folder of the blind trials; by default in the user's own folder for this program.",
)
@click.option("--share", is_flag=True, help="Let the shop's network in: with accounts, and only with them.")
@click.option("--name", "names", multiple=True, help="With --share: a name browsers call this machine by.")
@click.option("--certificate", type=_FILE, help="With --share: encrypt, by this certificate (PEM).")
@click.option("--key", type=_FILE, help="The certificate's private key (PEM).")
@click.option("--open", "open_browser", is_flag=True, help="Open the first page in the browser.")
def command(
    host: str | None,
    port: int,
    where: str | None,
    trials: Path | None,
    share: bool,
    names: tuple[str, ...],
    certificate: Path | None,
    key: Path | None,
    open_browser: bool,
) -> None:
    """Open the workbench in the browser, on this machine.

    It listens on this machine alone and needs no network. With --share others on the shop's network reach it,
    each with an account (`forkwright shop account`); every page then needs a sign-in.
    """
    host = host or (_EVERYWHERE if share else "127.0.0.1")
    _check(host, share=share, names=names, encryption=(certificate, key))
    with closing(_listen(host, port)) as listening:
        folder = trials or Path(click.get_app_dir("forkwright")) / "trials"
        options = _options(host, where, folder, share=share, names=names)
        with told_plainly():
            server = _server(options, certificate, key)
        if share:
            _tell_shared(encrypted=certificate is not None)
        kind = "https" if certificate is not None else "http"
        address = f"{kind}://{_in_address(host)}:{listening.getsockname()[1]}/"
        click.echo(f"The workbench is at {address}  (Ctrl+C ends it)")
        # Longer work in one thread must not hold up a moving slider in another by the usual 5 ms a turn.
        sys.setswitchinterval(0.0005)
        if open_browser:
            click.launch(address)
        with suppress(KeyboardInterrupt):
            server.run(sockets=[listening])


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


def _check(
    host: str, *, share: bool, names: tuple[str, ...], encryption: tuple[Path | None, Path | None]
) -> None:
    """Refuse what would share by accident, or half."""
    certificate, key = encryption
    if host not in _LOOPBACK and not share:
        raise InputError(
            "others could reach the workbench there; --share lets them in, with accounts",
            key="--host",
            value=host,
            allowed="127.0.0.1, ::1, localhost",
        )
    if (certificate is None) != (key is None):
        raise InputError("a certificate and its key come together", key="--certificate/--key")
    if not share and (names or certificate is not None):
        raise InputError("this is for sharing alone", key="--name/--certificate", allowed="with --share")


def _options(host: str, where: str | None, trials: Path, *, share: bool, names: tuple[str, ...]) -> Options:
    from forkwright.app import Options
    from forkwright.app.guard import ANY_ADDRESS

    allowed = (*Options().allowed_hosts, host)
    if share:
        own = socket.gethostname().lower()
        allowed = (*allowed, ANY_ADDRESS, own, f"{own}.local", *(name.lower() for name in names))
    return Options(
        allowed_hosts=allowed, trials=trials, store=where or default_store(), actor=user(), shared=share
    )


def _server(options: Options, certificate: Path | None, key: Path | None) -> uvicorn.Server:
    import uvicorn

    from forkwright.app import create_app

    settings = uvicorn.Config(
        create_app(options),
        log_level="warning",
        access_log=False,
        server_header=False,
        timeout_graceful_shutdown=2,
        ssl_certfile=certificate,
        ssl_keyfile=key,
    )
    try:
        settings.load()
    except OSError as fault:  # of a certificate that is none, or a key that is another's
        raise InputError(
            f"cannot encrypt with them: {fault.strerror or fault}", key="--certificate/--key"
        ) from None
    return uvicorn.Server(settings)


def _tell_shared(*, encrypted: bool) -> None:
    click.echo("Shared on the network: every page needs a sign-in.", err=True)
    if not encrypted:
        click.echo(
            "Note: the connection is not encrypted, so who listens on this network can read passwords and "
            "customers' data. Give --certificate and --key, or put an encrypting proxy in front.",
            err=True,
        )


def _in_address(host: str) -> str:
    """Return the host as a browser is given it; every address of this machine goes by the machine's name."""
    if host in (_EVERYWHERE, "::"):
        return socket.gethostname().lower()
    return f"[{host}]" if ":" in host else host
