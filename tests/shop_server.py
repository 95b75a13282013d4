"""A real PostgreSQL server on loopback for the tests, if the machine has one."""

from __future__ import annotations

import os
import pwd
import shutil
import socket
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


def server_programs() -> Path | None:
    """Return the folder of the newest PostgreSQL server programs, None when there is no server here."""
    on_path = shutil.which("initdb")
    if on_path:
        return Path(on_path).resolve().parent
    found = sorted(
        Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda path: int(path.parts[-3]), reverse=True
    )
    return found[0].parent if found else None


class Server:
    """A server with its own data folder; `start` and `stop` as often as wanted."""

    def __init__(self, programs: Path, folder: Path) -> None:
        self.programs = programs
        self.data = folder / "data"
        self.folder = folder
        self.port = _free_port()
        self.user = "postgres" if os.geteuid() == 0 else pwd.getpwuid(os.geteuid()).pw_name
        if os.geteuid() == 0:  # the server refuses to run as root
            os.chown(folder, *pwd.getpwnam(self.user)[2:4])
        self._run("initdb", "-D", str(self.data), "-A", "trust", "-U", "shop", "-E", "UTF8", "--no-locale")

    def address(self, database: str = "postgres") -> str:
        """Return where a database of this server is reached."""
        return f"postgresql://shop@127.0.0.1:{self.port}/{database}"

    def start(self) -> None:
        """Start and wait until it answers."""
        options = f"-p {self.port} -k {self.folder} -c listen_addresses=127.0.0.1"
        self._run(
            "pg_ctl", "-D", str(self.data), "-l", str(self.folder / "log"), "-o", options, "-w", "start"
        )

    def stop(self, *, how: str = "immediate") -> None:
        """Stop it; "immediate" is as hard as a power cut for those connected."""
        self._run("pg_ctl", "-D", str(self.data), "-m", how, "-w", "stop")

    def sql(self, statement: str, database: str = "postgres") -> str:
        """Run one statement with the server's own client."""
        command = ("psql", "-h", "127.0.0.1", "-p", str(self.port), "-U", "shop", "-d", database, "-Atc")
        return self._run(*command, statement)

    def _run(self, program: str, *arguments: str) -> str:
        with (self.folder / "out").open("wb") as out:
            done = subprocess.run(
                [str(self.programs / program), *arguments],
                user=self.user if os.geteuid() == 0 else None,
                cwd=self.folder,
                stdin=subprocess.DEVNULL,
                stdout=out,
                stderr=subprocess.STDOUT,
                timeout=120,
                check=False,
            )
        told = (self.folder / "out").read_text(encoding="utf-8", errors="replace")
        if done.returncode:
            raise RuntimeError(f"{program}: {told}")
        return told.strip()


@contextmanager
def running_server(programs: Path) -> Iterator[Server]:
    """Give a running server in a folder of its own, gone afterwards."""
    folder = Path(tempfile.mkdtemp(prefix="shop-server-"))
    try:
        server = Server(programs, folder)
        server.start()
        try:
            yield server
        finally:
            server.stop()
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port
