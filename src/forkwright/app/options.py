"""What can be chosen when the workbench is started; nothing below reads the environment."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

MEBIBYTE = 1024 * 1024


@dataclass(frozen=True)
class Options:
    """How one workbench server behaves.

    Parameters
    ----------
    allowed_hosts : tuple of str
        Names a browser may call this server by; a request under any other name is refused, so that a foreign
        page cannot reach the workbench by pointing its own name at this machine.
    body_limit : int
        Largest request body in bytes, unless a page asks for more.
    kept_units : int
        How many parsed units the server remembers, so that a moved slider does not read the file again.
    job_workers : int
        How many heavy jobs run at a time.
    warm_up : bool
        Call the slow-starting kernels once in the background after the start.
    store : str, optional
        The shop's store, a file or server address; without one the Jobs pages say that there is none.
    actor : str
        Who sits at this machine, for the audit trail; a shared workbench takes the account's name instead.
    shared : bool
        Whether every page needs a sign-in, as it must when other machines can reach the server.
    trials : Path, optional
        The folder that blind trials are planned into, one folder each.
    """

    allowed_hosts: tuple[str, ...] = ("127.0.0.1", "localhost", "::1")
    body_limit: int = 1 * MEBIBYTE
    kept_units: int = 64
    job_workers: int = 1
    warm_up: bool = True
    store: str | None = None
    actor: str = "workbench"
    shared: bool = False
    trials: Path | None = None
