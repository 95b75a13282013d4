"""Accounts for sharing: passwords, roles, sessions, form tokens, and holding wrong tries back."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from argon2 import extract_parameters
from sqlalchemy import select

from forkwright.shop import accounts
from forkwright.shop.accounts import (
    MAY,
    NotAllowed,
    add_account,
    allow,
    disable,
    find_account,
    password_fits,
    set_password,
)
from forkwright.shop.accounts_sessions import (
    LONGEST_IDLE,
    LONGEST_SESSION,
    account_of,
    end_session,
    form_token,
    form_token_fits,
    needs_noting,
    note_use,
    start_session,
    sweep_sessions,
)
from forkwright.shop.accounts_signin import (
    MOST_WRONG_PER_ACCOUNT,
    MOST_WRONG_PER_ADDRESS,
    WINDOW,
    attempts,
    sign_in,
    sign_out,
)
from forkwright.shop.history import HistoryEntry
from forkwright.shop.records_accounts import ROLES, SignedIn
from forkwright.shop.store import Store
from forkwright.units import InputError

GOOD = "moorland rain 7"
NOW = datetime(2031, 6, 1, 8, 0, tzinfo=UTC)


@pytest.fixture
def session(tmp_path):
    with Store.open(tmp_path / "shop.sqlite3") as store, store.change(actor="setup") as opened:
        yield opened


@pytest.fixture
def account(session):
    return add_account(session, name="Ines", role="technician", password=GOOD)


def try_in(session, password=GOOD, *, name="ines", address="192.0.2.1", now=NOW):
    return sign_in(session, name=name, password=password, address=address, now=now)


def test_a_password_is_kept_as_an_argon2id_hash_and_never_in_the_audit(session, account):
    """The row holds an argon2id hash; the audit trail holds neither hash nor password."""
    assert account.password_hash.startswith("$argon2id$")
    assert password_fits(account, GOOD)
    assert not password_fits(account, GOOD + "x")
    states = "".join(session.scalars(select(HistoryEntry.state)))
    assert "argon2" not in states
    assert GOOD not in states


def test_one_password_in_two_unicode_spellings_is_the_same(session):
    """A keyboard that sends letters decomposed still opens the account."""
    made = add_account(session, name="zoe", role="front desk", password="Ødegård på fjellet")
    assert password_fits(made, "Ødega\u030ard pa\u030a fjellet")


def test_an_unknown_name_costs_a_hash_too(account, monkeypatch):
    """Checking no account at all says no after one hash of the same cost as that of a real account."""
    costs = []
    hasher = accounts._hasher()

    class Counted:
        hash = staticmethod(hasher.hash)

        def verify(self, kept, plain):
            costs.append(extract_parameters(kept))
            return hasher.verify(kept, plain)

    monkeypatch.setattr(accounts, "_hasher", Counted)
    assert not password_fits(None, "no account has this one")
    assert not password_fits(account, "nor is this the account's")
    assert len(costs) == 2
    assert costs[0] == costs[1]


@pytest.mark.parametrize("weak", ["short", "aaaaaaaaaaaaaaa", "this is ines here", "x" * 201])
def test_weak_passwords_are_refused(session, weak):
    """Too short, too long, too uniform, or built on the name."""
    with pytest.raises(InputError, match="password"):
        add_account(session, name="ines", role="technician", password=weak)


def test_names_are_taken_whatever_their_case(session, account):
    """INES and ines are one account; unusable names and unknown roles are refused."""
    assert find_account(session, "INES") is account
    for fields, words in (
        ({"name": "INES"}, "name"),
        ({"name": ""}, "name"),
        ({"name": "a\nb"}, "name"),
        ({"name": "bo", "role": "owner"}, "role"),
    ):
        with pytest.raises(InputError, match=f"^{words}"):
            add_account(session, **{"role": "technician", "password": GOOD, **fields})


def test_each_role_may_do_what_the_table_says_and_nothing_else(session):
    """Read-only only looks; the desk does no work; no role reaches accounts or backups."""
    acts = set().union(*MAY.values()) | {"accounts", "backup"}
    assert set(MAY) == set(ROLES)
    for role in ROLES:
        made = add_account(session, name=f"someone {role}", role=role, password=GOOD)
        for act in acts:
            if act in MAY[role]:
                allow(made, act)
            else:
                with pytest.raises(NotAllowed):
                    allow(made, act)
    assert MAY["read-only"] == {"look"}
    assert "work" not in MAY["front desk"]


def test_signing_in_gives_a_token_that_the_store_does_not_hold(session, account):
    """The token opens the session; the store knows only its digest."""
    found = try_in(session)
    assert found.outcome == "in"
    assert account_of(session, found.token, now=NOW) is account
    assert found.token not in {row.token_digest for row in session.scalars(select(SignedIn))}
    assert account_of(session, found.token + "x", now=NOW) is None
    sign_out(session, account, found.token, address="192.0.2.1", now=NOW)
    assert account_of(session, found.token, now=NOW) is None
    assert [each.outcome for each in attempts(session)] == ["in", "out"] or [
        each.outcome for each in attempts(session)
    ] == ["out", "in"]


def test_a_session_ends_by_idleness_by_age_and_by_a_clock_turned_back(session, account):
    """Use keeps it alive, but not past its longest life; a stamp from the future ends it."""
    token = start_session(session, account, now=NOW)
    assert account_of(session, token, now=NOW + LONGEST_IDLE) is None
    assert account_of(session, token, now=NOW - timedelta(hours=1)) is None
    when = NOW
    while when < NOW + LONGEST_SESSION - LONGEST_IDLE:
        when += LONGEST_IDLE - timedelta(minutes=1)
        assert account_of(session, token, now=when) is account
        assert needs_noting(session, token, now=when)
        note_use(session, token, now=when)
        assert not needs_noting(session, token, now=when)
    note_use(session, token, now=NOW + LONGEST_SESSION)
    assert account_of(session, token, now=NOW + LONGEST_SESSION) is None
    sweep_sessions(session, now=NOW + LONGEST_SESSION + timedelta(seconds=1))
    assert session.scalars(select(SignedIn)).all() == []


def test_shutting_out_and_a_new_password_end_running_sessions(session, account):
    """Both take the sessions away at once; the old password no longer fits."""
    token = try_in(session).token
    set_password(session, account, "heather and peat 3")
    assert account_of(session, token, now=NOW) is None
    assert try_in(session).outcome == "wrong"
    token = try_in(session, "heather and peat 3").token
    disable(session, account)
    assert account_of(session, token, now=NOW) is None
    assert try_in(session, "heather and peat 3").outcome == "disabled"
    disable(session, account, disabled=False)
    assert try_in(session, "heather and peat 3").outcome == "in"


@pytest.mark.usefixtures("account")
def test_too_many_wrong_tries_hold_the_account_back_for_a_while(session):
    """After five wrong tries the right password is not even looked at, until the window has passed."""
    for _ in range(MOST_WRONG_PER_ACCOUNT):
        assert try_in(session, "wrong wrong wrong").outcome == "wrong"
    assert try_in(session).outcome == "held back"
    assert try_in(session, now=NOW - WINDOW / 2).outcome == "held back"
    assert try_in(session, now=NOW + WINDOW + timedelta(seconds=1)).outcome == "in"


@pytest.mark.usefixtures("account")
def test_too_many_wrong_tries_from_one_address_hold_that_address_back(session, monkeypatch):
    """Guessing at many names from one place is held back; another place is not."""
    monkeypatch.setattr("forkwright.shop.accounts_signin.password_fits", lambda *_: False)
    for number in range(MOST_WRONG_PER_ADDRESS):
        assert try_in(session, "x", name=f"guess {number}").outcome == "wrong"
    assert try_in(session, "x").outcome == "held back"
    assert try_in(session, "x", address="192.0.2.2").outcome == "wrong"


@pytest.mark.usefixtures("account")
def test_every_answer_on_a_name_costs_one_hash(session, monkeypatch):
    """Unknown, wrong, held back and right take the same work, so that time tells nobody which names exist."""
    hashes: list[int] = []
    real = accounts._hasher()

    class Counting:
        def __getattr__(self, name):
            return getattr(real, name)

        def verify(self, *given):
            hashes.append(1)
            return real.verify(*given)

    monkeypatch.setattr(accounts, "_hasher", Counting)
    accounts._nobodys_hash()
    outcomes = []
    tries = [("nobody", "x")] + [("ines", "x")] * (MOST_WRONG_PER_ACCOUNT + 1)
    for name, password in tries:
        hashes.clear()
        outcomes.append(try_in(session, password, name=name).outcome)
        assert len(hashes) == 1, (name, outcomes)
    assert outcomes[-1] == "held back"


def test_names_that_are_no_accounts_are_not_written_down(session):
    """A password typed into the name's field does not end in the audit of sign-ins."""
    try_in(session, "x", name=GOOD)
    assert [(each.name, each.outcome) for each in attempts(session)] == [("", "wrong")]


def test_a_form_token_belongs_to_one_session(session, account):
    """The right session's token fits; another's, a changed one and nonsense do not."""
    one, two = (start_session(session, account, now=NOW) for _ in range(2))
    assert form_token_fits(one, form_token(one))
    for wrong in (form_token(two), form_token(one)[:-1], "", "\ud800", "é"):
        assert not form_token_fits(one, wrong)
    end_session(session, one)
    assert account_of(session, two, now=NOW) is account
