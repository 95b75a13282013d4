"""The desk a request works at: the store, and the person who may do this or that with it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Annotated

from fastapi import Depends, Request

from forkwright.app.workshop.people import Person

if TYPE_CHECKING:
    from pathlib import Path

    from forkwright.app.workshop.door import StoreDoor
    from forkwright.shop.store import ShopSession


@dataclass(frozen=True)
class DeskNow:
    """The store's door and the person of one request."""

    door: StoreDoor
    person: Person

    @contextmanager
    def look(self) -> Iterator[ShopSession]:
        """Give a session for reading."""
        self.person.allow("look")
        with self.door.open().look() as session:
            yield session

    @contextmanager
    def change(self, act: str) -> Iterator[ShopSession]:
        """Give a session whose work is saved at the end of the block, if the person may do `act`.

        Raises
        ------
        NotAllowed
            The person's role may not do that.
        """
        self.person.allow(act)
        with self.door.open().change(self.person.name) as session:
            yield session

    def today(self) -> date:
        """Return the day by the store's clock."""
        return self.door.open().clock().date()

    @property
    def picture_folder(self) -> Path:
        """Where pictures lie."""
        return self.door.open().picture_folder


async def _desk(request: Request) -> DeskNow:
    person = getattr(request.state, "person", None)
    if person is None:
        person = Person(request.app.state.options.actor, "technician")
    return DeskNow(request.app.state.store_door, person)


Desk = Annotated[DeskNow, Depends(_desk)]
