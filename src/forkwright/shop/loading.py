"""Rows come into a store as a whole or not at all, and only if they agree with their audit trail."""

from __future__ import annotations

import tempfile
from pathlib import Path

from sqlalchemy.exc import DataError, IntegrityError

from forkwright.shop.dump import Dump, Progress, write_dump
from forkwright.shop.store import Store
from forkwright.shop.troubles import StoreTrouble
from forkwright.shop.verify import content_problems
from forkwright.units import InputError


def load(store: Store, dump: Dump, *, replace: bool, progress: Progress | None = None) -> None:
    """Put a dump's rows into a store in one transaction; they are kept only if they agree with their trail.

    Raises
    ------
    InputError
        The rows do not fit, or do not agree.
    """
    with store.change(actor="") as session:
        try:
            write_dump(session.connection(), dump, replace=replace, progress=progress)
            problems = content_problems(session)
        except (IntegrityError, DataError, ValueError) as error:
            raise InputError(f"a row does not fit: {str(error).splitlines()[0]}", key="import") from error
        if problems:
            raise InputError(f"{problems[0].text} ({len(problems)} problems in all)", key=problems[0].where)


def refusal_of(dump: Dump, *, progress: Progress | None = None) -> str:
    """Return why `load` would refuse these rows, empty if it would take them: they are tried out beside.

    Better said on the day a backup is made than on the day it is needed.
    """
    try:
        with (
            tempfile.TemporaryDirectory(prefix="forkwright-") as folder,
            Store.open(Path(folder) / "tried-out.sqlite3") as store,
        ):
            load(store, dump, replace=True, progress=progress)
    except InputError as error:
        return f"a restore would refuse it: {error}"
    except (StoreTrouble, OSError) as error:
        return f"whether a restore would take it could not be tried out here: {error}"
    return ""
