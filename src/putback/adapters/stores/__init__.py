"""One idea: a store is named by a file's path or a database's address, and everything else is its contract."""

from pathlib import Path

from putback.adapters.stores.contract import Person, Store
from putback.adapters.stores.failures import (
    Damaged,
    DiskFull,
    Locked,
    NewerSchema,
    NotDurable,
    NotOurs,
    ReadOnly,
    Refused,
    StoreFailed,
    Unreachable,
)
from putback.adapters.stores.sqlite import SqliteStore

ADDRESSES = ("postgresql://", "postgres://")


def is_address(name: str) -> bool:
    """Whether a name is a database's address and no file's path."""
    return name.startswith(ADDRESSES)


def open_store(name: str, *, create: bool = False, read_only: bool = False) -> Store:
    """Open a store by its name.

    Args:
        name: a path, or `postgresql://user@host/database`.
        create: make it where there is none.
        read_only: only read; a file is not changed in any way.

    Raises:
        StoreFailed: it cannot be opened; the kind says why.
    """
    if not is_address(name):
        return SqliteStore(Path(name), create=create, read_only=read_only)
    from putback.adapters.stores.postgres import PostgresStore  # noqa: PLC0415 - the driver is loaded when it is used

    return PostgresStore(name, create=create, read_only=read_only)


__all__ = [
    "Damaged",
    "DiskFull",
    "Locked",
    "NewerSchema",
    "NotDurable",
    "NotOurs",
    "Person",
    "ReadOnly",
    "Refused",
    "SqliteStore",
    "Store",
    "StoreFailed",
    "Unreachable",
    "is_address",
    "open_store",
]
