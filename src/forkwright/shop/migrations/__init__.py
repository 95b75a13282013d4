"""The store's tables, version by version; read by Alembic through `forkwright.shop.migrate`."""

NEWEST = "0002"
