"""Signing in: every try is written down; after too many wrong ones no password is even looked at.

Names that are no account's are not written down: people type passwords into the wrong field.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import delete as erase
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from forkwright.shop.accounts import find_account, password_fits, renew_hash
from forkwright.shop.accounts_sessions import end_session, start_session
from forkwright.shop.records_accounts import Account, SignInAttempt

WINDOW = timedelta(minutes=15)
MOST_WRONG_PER_ACCOUNT = 5
MOST_WRONG_PER_ADDRESS = 20
KEEP_ATTEMPTS = timedelta(days=400)

SAME_ANSWER = "Name and password do not match, or there were too many tries. Wait a while and try again."


@dataclass(frozen=True)
class SignIn:
    """The outcome: "in", "wrong", "held back" or "disabled"; the token and account only when "in".

    Show the person `SAME_ANSWER` for every outcome but "in", so that nothing tells which names exist.
    """

    outcome: str
    token: str | None = None
    account: Account | None = None


def sign_in(session: Session, *, name: str, password: str, address: str, now: datetime) -> SignIn:
    """Try a name and password. Run it inside `Store.change`: the try must be kept, good or bad.

    Parameters
    ----------
    address : str
        Where the request came from.
    now : datetime
        The time in UTC, from the store's clock.
    """
    account = find_account(session, name)
    known_name = account.name if account is not None else ""
    if _wrong(session, now, address=address[:64]) >= MOST_WRONG_PER_ADDRESS:
        _note(session, known_name, address, now, "held back")
        return SignIn("held back")
    if known_name and _wrong(session, now, name=known_name) >= MOST_WRONG_PER_ACCOUNT:
        password_fits(None, password)  # takes as long as a try on a name that does not exist
        _note(session, known_name, address, now, "held back")
        return SignIn("held back")
    if not password_fits(account, password) or account is None:
        _note(session, known_name, address, now, "wrong")
        return SignIn("wrong")
    if account.disabled:
        _note(session, known_name, address, now, "disabled")
        return SignIn("disabled")
    renew_hash(account, password)
    _note(session, known_name, address, now, "in")
    return SignIn("in", start_session(session, account, now=now, address=address), account)


def sign_out(session: Session, account: Account, token: str, *, address: str, now: datetime) -> None:
    """End a session and write it down."""
    end_session(session, token)
    _note(session, account.name, address, now, "out")


def note_link(session: Session, *, person: str, what: str, address: str, now: datetime) -> bool:
    """Write down the first use of a link that needs no account; False when that line is there already.

    Parameters
    ----------
    person : str
        Whose link it is.
    what : str
        What it opens; stands as the outcome.
    address : str
        Where the request came from.
    now : datetime
        The time in UTC, from the store's clock.
    """
    known = select(SignInAttempt.id).where(
        SignInAttempt.name == person[:64],
        SignInAttempt.outcome == what,
        SignInAttempt.address == address[:64],
    )
    if session.scalar(known.limit(1)) is not None:
        return False
    _note(session, person[:64], address, now, what)
    return True


def attempts(session: Session, *, most: int = 200) -> list[SignInAttempt]:
    """Return the latest tries to sign in, newest first."""
    return list(session.scalars(select(SignInAttempt).order_by(SignInAttempt.at.desc()).limit(most)))


def forget_old_attempts(session: Session, *, now: datetime) -> None:
    """Take away tries older than the shop needs to keep."""
    session.execute(erase(SignInAttempt).where(SignInAttempt.at < now - KEEP_ATTEMPTS))


def _wrong(session: Session, now: datetime, *, name: str = "", address: str = "") -> int:
    """Count wrong tries near now, on both sides: a clock turned back a little wipes nothing out."""
    query = select(func.count()).where(
        SignInAttempt.outcome == "wrong", SignInAttempt.at >= now - WINDOW, SignInAttempt.at <= now + WINDOW
    )
    query = query.where(SignInAttempt.name == name) if name else query.where(SignInAttempt.address == address)
    return int(session.scalar(query) or 0)


def _note(session: Session, known_name: str, address: str, now: datetime, outcome: str) -> None:
    session.add(SignInAttempt(at=now, name=known_name, address=address[:64], outcome=outcome))
    session.flush()
