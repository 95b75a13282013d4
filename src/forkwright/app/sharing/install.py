"""Switch sharing on for an app: the sign-in pages, the gate, the housekeeping."""

from __future__ import annotations

from fastapi import FastAPI
from sqlalchemy import select

from forkwright.app.acts import Acts
from forkwright.app.sharing import sign_in
from forkwright.app.sharing.gate import Gate
from forkwright.app.sharing.links import LinkRight
from forkwright.app.sharing.upkeep import Upkeep
from forkwright.shop.records_accounts import Account
from forkwright.shop.store import Store
from forkwright.units import InputError


def install(app: FastAPI) -> None:
    """Put the gate before everything else of the app.

    Raises
    ------
    InputError
        There is no account to sign in with.
    StoreTrouble
        The store cannot be opened.
    """
    store = app.state.store_door.open()
    try:
        must_have_account(store)
    except BaseException:
        app.state.store_door.close()
        raise
    app.include_router(sign_in.router)
    app.state.upkeep = Upkeep(store)
    door = app.state.store_door
    links = LinkRight(app.state.desk, door)
    app.add_middleware(Gate, door=door, links=links, acts=Acts(app), static=app.state.assets.mount_path)


def must_have_account(store: Store) -> None:
    """Refuse to share without an account: none is built in, nor any password.

    Raises
    ------
    InputError
        There is none that may sign in.
    """
    with store.look() as session:
        if session.scalars(select(Account).where(Account.disabled.is_(False))).first() is None:
            raise InputError(
                "sharing needs an account to sign in with; make one: "
                "forkwright shop account NAME --role technician",
                key="--share",
            )
