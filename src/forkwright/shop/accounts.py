"""Who may do what when the workbench is shared, and how a password is kept: only as its argon2 hash."""

from __future__ import annotations

import unicodedata
from functools import cache
from typing import TYPE_CHECKING

from sqlalchemy import delete as erase
from sqlalchemy import select
from sqlalchemy.orm import Session

from forkwright.shop.records_accounts import ROLES, Account, SignedIn
from forkwright.shop.store import add
from forkwright.units import InputError

if TYPE_CHECKING:
    from argon2 import PasswordHasher

SHORTEST_PASSWORD = 12  # characters
LONGEST_PASSWORD = 200  # characters; longer ones would only cost time
FEWEST_LETTERS = 5  # different characters

# What each role may do over the network. Accounts, backups, exports and migrations are for whoever sits at
# the machine itself, through the command line: no role reaches them.
MAY: dict[str, frozenset[str]] = {
    "technician": frozenset({"look", "take in", "note", "work", "figures", "hand over", "delete"}),
    "front desk": frozenset({"look", "take in", "note", "hand over"}),
    "read-only": frozenset({"look"}),
}


class NotAllowed(PermissionError):  # noqa: N818 - a refusal, named as such
    """This account's role may not do that."""


def allow(account: Account, act: str) -> None:
    """Let the call pass if the account's role may do `act`.

    Raises
    ------
    NotAllowed
        It may not, or the account is disabled.
    """
    if account.disabled or account.deleted_at is not None or act not in MAY.get(account.role, frozenset()):
        raise NotAllowed(f"{account.name} ({account.role}) may not do this: {act}")


def add_account(session: Session, *, name: str, role: str, password: str) -> Account:
    """Make an account.

    Raises
    ------
    InputError
        The name is taken or empty, the role unknown, or the password weak.
    """
    name = account_name(name)
    if role not in ROLES:
        raise InputError("unknown role", key="role", value=role, allowed=", ".join(ROLES))
    if find_account(session, name, deleted_too=True) is not None:
        raise InputError("this name is taken", key="name", value=name)
    return add(session, Account(name=name, role=role, password_hash=hash_password(password, name)))


def set_password(session: Session, account: Account, password: str) -> None:
    """Give an account a new password and end all its running sessions."""
    account.password_hash = hash_password(password, account.name)
    end_sessions(session, account)


def disable(session: Session, account: Account, *, disabled: bool = True) -> None:
    """Shut an account out (or let it in again) and end its running sessions."""
    account.disabled = disabled
    end_sessions(session, account)


def end_sessions(session: Session, account: Account) -> None:
    """End every running session of an account."""
    session.flush()
    session.execute(erase(SignedIn).where(SignedIn.account_id == account.id))


def find_account(session: Session, name: str, *, deleted_too: bool = False) -> Account | None:
    """Return the account of that name (case matters not), None when there is none."""
    query = select(Account).where(Account.name == _plain_name(name))
    return session.scalars(query.execution_options(include_deleted=deleted_too)).first()


def account_name(name: str) -> str:
    """Return a name as accounts keep it: composed, lower case, 1 to 64 printable characters."""
    plain = _plain_name(name)
    if not plain or len(plain) > 64 or not plain.isprintable():
        raise InputError(
            "not a usable account name", key="name", value=name, allowed="1 to 64 letters and signs"
        )
    return plain


def hash_password(password: str, name: str) -> str:
    """Return the argon2id hash of a password that is strong enough.

    Raises
    ------
    InputError
        Too short, too long, too few different characters, or built on the account's name.
    """
    plain = _plain_password(password)
    if not SHORTEST_PASSWORD <= len(plain) <= LONGEST_PASSWORD:
        raise InputError(
            "the password's length is out of range",
            key="password",
            allowed=f"{SHORTEST_PASSWORD} to {LONGEST_PASSWORD} characters",
        )
    if len(set(plain)) < FEWEST_LETTERS:
        raise InputError("the password repeats itself too much", key="password")
    if _plain_name(name) in plain.casefold():
        raise InputError("the password must not hold the account's name", key="password")
    return _hasher().hash(plain)


def password_fits(account: Account | None, password: str) -> bool:
    """Return whether the password is the account's; takes as long for an account that does not exist."""
    from argon2.exceptions import InvalidHashError, VerificationError

    plain = _plain_password(password)[: LONGEST_PASSWORD + 1]
    kept = account.password_hash if account is not None else _nobodys_hash()
    try:
        _hasher().verify(kept, plain)
    except (VerificationError, InvalidHashError):
        return False
    return account is not None


def renew_hash(account: Account, password: str) -> None:
    """Hash anew with today's cost if the kept hash was made with a lower one."""
    if _hasher().check_needs_rehash(account.password_hash):
        account.password_hash = _hasher().hash(_plain_password(password))


@cache
def _hasher() -> PasswordHasher:
    from argon2 import PasswordHasher

    return PasswordHasher()


@cache
def _nobodys_hash() -> str:
    return _hasher().hash("no account has this one")


def _plain_name(name: str) -> str:
    return unicodedata.normalize("NFKC", name).strip().casefold()


def _plain_password(password: str) -> str:
    return unicodedata.normalize("NFKC", password)
