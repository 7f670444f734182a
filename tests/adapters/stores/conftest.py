"""Both stores for the tests: SQLite in a new file, PostgreSQL in an emptied database of a real server.

Without a server program the PostgreSQL half is skipped, loudly; where CI is set it fails instead.
"""

import os
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from itertools import count
from pathlib import Path

import psycopg
import pytest

from benchmarks.append.server import Server, running
from putback.adapters.stores import Store, open_store

KINDS = ("sqlite", "postgresql")


@pytest.fixture(scope="session")
def server() -> Iterator[Server]:
    with ExitStack() as stack:
        try:
            made = stack.enter_context(running())
        except LookupError as missing:
            if os.environ.get("CI", "").lower() in ("1", "true"):
                pytest.fail(f"CI must test both stores: {missing}")
            pytest.skip(f"POSTGRESQL IS NOT TESTED: {missing}")
        yield made


@pytest.fixture(scope="session")
def databases(server: Server) -> tuple[str, str]:
    return server.new_database("one"), server.new_database("two")


@pytest.fixture
def name_of(request: pytest.FixtureRequest, tmp_path: Path) -> Callable[[str], str]:
    """Makes the name of a store that is not there yet, by its kind; two of each kind at most."""
    numbers = count(0)

    def name(kind: str) -> str:
        if kind == "sqlite":
            return str(tmp_path / f"workshop-{next(numbers)}.record")
        url: str = request.getfixturevalue("databases")[next(numbers)]
        with psycopg.connect(url, autocommit=True) as connection:
            connection.execute("DROP SCHEMA IF EXISTS putback CASCADE")
        return url

    return name


@pytest.fixture(params=KINDS)
def name(request: pytest.FixtureRequest, name_of: Callable[[str], str]) -> str:
    """The name of a store that is not there yet, once of each kind."""
    return name_of(request.param)


@pytest.fixture
def store(name: str) -> Iterator[Store]:
    """An empty store, once of each kind."""
    with open_store(name, create=True) as opened:
        yield opened
