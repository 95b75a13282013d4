"""The way to the shop's store: opened when first asked for, so that the other pages never wait for it."""

from __future__ import annotations

import threading
from typing import TYPE_CHECKING

from forkwright.units import InputError

if TYPE_CHECKING:
    from forkwright.shop.store import Store


class StoreDoor:
    """Opens the store once and hands it out.

    Parameters
    ----------
    where : str, optional
        The store's file or server address; None when this workbench was started without one.
    """

    def __init__(self, where: str | None) -> None:
        self._where = where
        self._store: Store | None = None
        self._lock = threading.Lock()

    def open(self) -> Store:
        """Return the open store.

        Raises
        ------
        InputError
            This workbench was started without a store.
        StoreTrouble
            It is damaged, of another version, or cannot be reached.
        """
        with self._lock:
            if self._store is None:
                if self._where is None:
                    raise InputError("this workbench was started without a shop's store", key="store")
                from forkwright.shop.store import Store

                self._store = Store.open(self._where)
            return self._store

    def close(self) -> None:
        """Let go of the store, if it was ever opened."""
        with self._lock:
            if self._store is not None:
                self._store.close()
                self._store = None
