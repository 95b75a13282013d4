"""Housekeeping of a shared workbench: sessions that are over and sign-ins kept long enough are taken away."""

from __future__ import annotations

import logging
import threading
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from forkwright.shop.store import Store

EVERY = 3600.0  # s
_LOG = logging.getLogger("forkwright.app")


def tidy(store: Store) -> None:
    """Take away what is over, once."""
    from forkwright.shop.accounts_sessions import sweep_sessions
    from forkwright.shop.accounts_signin import forget_old_attempts

    with store.change("upkeep") as session:
        sweep_sessions(session, now=store.clock())
        forget_old_attempts(session, now=store.clock())


class Upkeep:
    """Tidies at the start and every hour, in a thread of its own."""

    def __init__(self, store: Store, every: float = EVERY) -> None:
        self._store = store
        self._every = every
        self._over = threading.Event()
        self._thread = threading.Thread(target=self._run, name="upkeep", daemon=True)

    def start(self) -> None:
        """Begin."""
        self._thread.start()

    def stop(self) -> None:
        """End, waiting for a tidying that is under way."""
        self._over.set()
        self._thread.join(timeout=10.0)

    def _run(self) -> None:
        while True:
            try:
                tidy(self._store)
            except Exception:
                _LOG.exception("the housekeeping did not finish; it is tried again")
            if self._over.wait(self._every):
                return
