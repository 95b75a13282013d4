"""Running sessions and the tokens that prove a form came from our own page.

The browser holds a random token; the store holds only its SHA-256, so a stolen copy of the store opens
nothing. The form token is derived from the session's token (HMAC-SHA-256, RFC 2104), so it needs no place of
its own and dies with the session.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
from datetime import datetime, timedelta

from sqlalchemy import delete as erase
from sqlalchemy.orm import Session

from forkwright.shop.records_accounts import Account, SignedIn

LONGEST_IDLE = timedelta(hours=8)
LONGEST_SESSION = timedelta(days=7)
CLOCK_SLACK = timedelta(minutes=5)  # a stamp further in the future means that the clock was turned back
NOTE_USE_EVERY = timedelta(minutes=1)


def start_session(session: Session, account: Account, *, now: datetime, address: str = "") -> str:
    """Start a session and return its token, for the browser alone."""
    token = secrets.token_urlsafe(32)
    session.add(
        SignedIn(
            token_digest=token_digest(token),
            account_id=account.id,
            started_at=now,
            seen_at=now,
            address=address[:64],
        )
    )
    session.flush()
    return token


def account_of(session: Session, token: str, *, now: datetime) -> Account | None:
    """Return whose session the token is, None when it is unknown, too old, idle too long, or shut out.

    A clock turned back does not stretch a session: a stamp from the future ends it.
    """
    running = session.get(SignedIn, token_digest(token))
    if running is None or not _alive(running, now):
        return None
    account = session.get(Account, running.account_id)
    if account is None or account.disabled or account.deleted_at is not None:
        return None
    return account


def needs_noting(session: Session, token: str, *, now: datetime) -> bool:
    """Return whether the session's use should be noted again, so that most requests write nothing."""
    running = session.get(SignedIn, token_digest(token))
    return running is not None and now - running.seen_at >= NOTE_USE_EVERY


def note_use(session: Session, token: str, *, now: datetime) -> None:
    """Write down that the session was used now."""
    running = session.get(SignedIn, token_digest(token))
    if running is not None and now > running.seen_at:
        running.seen_at = now
        session.flush()


def end_session(session: Session, token: str) -> None:
    """End one session."""
    session.execute(erase(SignedIn).where(SignedIn.token_digest == token_digest(token)))


def sweep_sessions(session: Session, *, now: datetime) -> None:
    """Take away the sessions that are over."""
    gone = (SignedIn.started_at < now - LONGEST_SESSION) | (SignedIn.seen_at < now - LONGEST_IDLE)
    session.execute(erase(SignedIn).where(gone))


def form_token(token: str) -> str:
    """Return the token that every changing form of this session must carry."""
    return hmac.new(token.encode(), b"forkwright form", hashlib.sha256).hexdigest()


def form_token_fits(token: str, given: str) -> bool:
    """Return whether a form's token belongs to the session; the time taken tells nothing."""
    return hmac.compare_digest(form_token(token).encode(), given.encode("utf-8", "surrogatepass"))


def token_digest(token: str) -> str:
    """Return what the store keeps of a session's token."""
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).hexdigest()


def _alive(running: SignedIn, now: datetime) -> bool:
    if max(running.started_at, running.seen_at) > now + CLOCK_SLACK:
        return False
    return now - running.started_at < LONGEST_SESSION and now - running.seen_at < LONGEST_IDLE
