"""Every table in one place, for the parts that treat them all alike (dump, export, verify)."""

from __future__ import annotations

from sqlalchemy import MetaData

from forkwright.shop import history, records, records_accounts, records_job
from forkwright.shop.columns import Base, Record

ACCOUNT_TABLES = ("account", "signed_in", "sign_in_attempt")
NEVER_COPIED = ("signed_in",)  # running sessions end with the store they belong to

_ALL_MODULES = (history, records, records_accounts, records_job)


def metadata() -> MetaData:
    """Return the tables as this program's version knows them."""
    return Base.metadata


def record_classes() -> dict[str, type[Record]]:
    """Return the audited record classes by table name."""
    return {
        mapper.class_.__tablename__: mapper.class_
        for mapper in Base.registry.mappers
        if issubclass(mapper.class_, Record)
    }
