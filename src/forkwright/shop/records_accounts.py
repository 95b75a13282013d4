"""Who may use the workbench when it is shared on the shop's network."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import ForeignKey, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from forkwright.shop.columns import Base, Record, new_id
from forkwright.shop.records import one_of

ROLES = ("technician", "front desk", "read-only")


class Account(Record):
    """One person's way in."""

    __tablename__ = "account"
    __table_args__ = (one_of("role", ROLES), UniqueConstraint("name"))

    name: Mapped[str] = mapped_column(String(64))
    role: Mapped[str]
    password_hash: Mapped[str] = mapped_column(info={"secret": True})
    disabled: Mapped[bool] = mapped_column(default=False)


class SignedIn(Base):
    """A running session, by the digest of its token: a stolen copy of the store opens no session."""

    __tablename__ = "signed_in"

    token_digest: Mapped[str] = mapped_column(String(64), primary_key=True)
    account_id: Mapped[str] = mapped_column(String(32), ForeignKey("account.id"), index=True)
    started_at: Mapped[datetime]
    seen_at: Mapped[datetime]
    address: Mapped[str] = mapped_column(default="")


class SignInAttempt(Base):
    """One try to sign in, good or bad: the audit of sign-ins, and what the rate limit counts.

    The first use of a blind test's link stands here too.
    """

    __tablename__ = "sign_in_attempt"

    id: Mapped[str] = mapped_column(String(32), primary_key=True, default=new_id)
    at: Mapped[datetime] = mapped_column(index=True)
    name: Mapped[str] = mapped_column(String(64), index=True)
    address: Mapped[str] = mapped_column(String(64), default="", index=True)
    outcome: Mapped[
        str
    ]  # "in", "wrong", "held back", "disabled", "out", or "link: ..." for one without account
