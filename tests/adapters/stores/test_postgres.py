"""What only the database store has: a real server, its settings, its failures, and tampering behind its back."""

from collections.abc import Callable, Iterator
from threading import Thread
from typing import Any

import psycopg
import pytest

from benchmarks.append.server import Server
from core.record.made import event, opening
from putback.adapters.stores import (
    Damaged,
    DiskFull,
    Locked,
    NewerSchema,
    NotDurable,
    NotOurs,
    ReadOnly,
    Unreachable,
    open_store,
)
from putback.adapters.stores.check import check_job
from putback.adapters.stores.postgres import PostgresStore
from putback.core.record import Ack

AT = "2026-03-02T07:15:01Z"
COUNT = 6


@pytest.fixture
def url(name_of: Callable[[str], str]) -> str:
    """A database with six events."""
    url = name_of("postgresql")
    with PostgresStore(url, create=True) as store:
        store.append([opening(), *(event(f"e{n}") for n in range(2, COUNT + 1))], received_at=AT)
    return url


@pytest.fixture
def raw(url: str) -> Iterator[psycopg.Connection[tuple[Any, ...]]]:
    """The same database, opened behind the store's back."""
    with psycopg.connect(url, autocommit=True) as connection:
        connection.execute("SET search_path TO putback")
        yield connection


Raw = psycopg.Connection[tuple[Any, ...]]

TAMPERED: list[tuple[str, int]] = [
    ("UPDATE links SET content = decode('7b7d', 'hex') WHERE seq = 3", 3),
    ("UPDATE links SET received_at = '2026-03-02T07:15:02Z' WHERE seq = 2", 2),
    ("UPDATE links SET hash = upper(hash) WHERE seq = 5", 5),
    ("UPDATE links SET id = 'other' WHERE seq = 2", 2),
    ("UPDATE links SET job = 'job-2' WHERE seq = 3", 3),
    ("DELETE FROM links WHERE seq = 4", 4),
    ("DELETE FROM links WHERE seq > 4", 5),
    ("UPDATE links SET seq = 50 WHERE seq = 4", 4),
    ("UPDATE heads SET seq = 5", 5),
    ("DELETE FROM heads", 1),
]


@pytest.mark.parametrize(("statement", "place"), TAMPERED)
def test_tampering_with_the_tables_is_found_at_its_place(url: str, raw: Raw, statement: str, place: int) -> None:
    raw.execute(statement.encode())
    with PostgresStore(url, read_only=True) as store:
        assert check_job(store, "job-1").faults[0].where.line == place


def test_its_settings_are_those_that_keep_what_is_acknowledged(url: str, raw: Raw) -> None:
    """postgresql.org/docs: a commit waits for the disk with synchronous_commit on and fsync on."""
    raw.execute("ALTER DATABASE one SET synchronous_commit TO off")
    try:
        with PostgresStore(url) as store:
            connection = store._connection("write")
            assert connection.execute("SHOW synchronous_commit").fetchone() == ("on",)
            assert connection.execute("SHOW fsync").fetchone() == ("on",)
            assert connection.execute("SHOW transaction_isolation").fetchone() == ("read committed",)
    finally:
        raw.execute("ALTER DATABASE one RESET synchronous_commit")


def test_a_server_whose_fsync_is_off_is_refused(url: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """The question is put to a setting that is off by default, in place of starting a server that may lose data."""
    real = psycopg.Connection.execute

    def other(self: Any, query: Any, *args: Any, **kwargs: Any) -> Any:
        return real(self, "SHOW transform_null_equals" if query == "SHOW fsync" else query, *args, **kwargs)

    monkeypatch.setattr(psycopg.Connection, "execute", other)
    with pytest.raises(NotDurable, match="fsync"):
        PostgresStore(url)
    PostgresStore(url, read_only=True).close()


def test_a_server_that_went_away_and_came_back_is_met_again(url: str, server: Server) -> None:
    with PostgresStore(url) as store:
        store.append([event("before")], received_at=AT)
        assert len(store.read("job-1")) == COUNT + 1
        server.kill()
        with pytest.raises(Unreachable, match="offer the rest again"):
            store.append([event("during")], received_at=AT)
        server.start()
        (answer,) = store.append([event("during")], received_at=AT)
        assert isinstance(answer, Ack)
        assert (answer.seq, answer.again) == (COUNT + 2, False)
        assert check_job(store, "job-1").faults == ()


def test_a_job_that_is_held_is_waited_for_and_then_said(url: str, raw: Raw) -> None:
    with PostgresStore(url, patience_s=0.2) as store, raw.transaction():
        raw.execute("SELECT pg_advisory_xact_lock(hashtextextended('putback job-1', 0))")
        with pytest.raises(Locked, match="offer the rest again"):
            store.append([event("e9")], received_at=AT)
        other = store.append([event("other-1", job="job-2")], received_at=AT)
        assert isinstance(other[0], Ack)  # another job is not held up


def test_one_id_for_two_jobs_at_once_stands_once(url: str) -> None:
    """Two programs race with the same ids under two jobs; the loser's are kept aside, on whichever side."""

    def work(job: str) -> None:
        with PostgresStore(url) as store:
            for n in range(15):
                store.append([event(f"race-{n}", job=job)], received_at=AT)

    threads = [Thread(target=work, args=(job,)) for job in ("left", "right")]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with PostgresStore(url, read_only=True) as store:
        stood = [link.id for job in ("left", "right") for link in store.read(job)]
        aside = [one.id for one in store.conflicts()]
        assert sorted(stood) == sorted(aside) == sorted(f"race-{n}" for n in range(15))
        assert all(not check_job(store, job).faults for job in ("left", "right"))


# What the server would say, said by a trigger with the code of the manual's appendix "PostgreSQL Error Codes".
@pytest.mark.parametrize(
    ("code", "kind"), [("53100", DiskFull), ("42501", ReadOnly), ("25006", ReadOnly), ("XX001", Damaged)]
)
def test_what_the_server_says_is_said_in_our_words(url: str, raw: Raw, code: str, kind: type[Exception]) -> None:
    body = f"$$ BEGIN RAISE EXCEPTION 'no' USING ERRCODE = '{code}'; END $$"
    raw.execute(f"CREATE FUNCTION putback.no() RETURNS trigger LANGUAGE plpgsql AS {body}".encode())
    raw.execute("CREATE TRIGGER no BEFORE INSERT ON links FOR EACH ROW EXECUTE FUNCTION putback.no()")
    with PostgresStore(url) as store:
        with pytest.raises(kind):
            store.append([event("e9")], received_at=AT)
        assert len(store.read("job-1")) == COUNT
        raw.execute("DROP TRIGGER no ON links")
        assert isinstance(store.append([event("e9")], received_at=AT)[0], Ack)


def test_a_database_that_may_not_be_written(url: str, raw: Raw) -> None:
    raw.execute("ALTER DATABASE one SET default_transaction_read_only TO on")
    try:
        with PostgresStore(url) as store, pytest.raises(ReadOnly):
            store.append([event("e9")], received_at=AT)
    finally:
        raw.execute("SET default_transaction_read_only TO off")
        raw.execute("ALTER DATABASE one RESET default_transaction_read_only")


def test_a_newer_schema_and_a_lost_table_are_refused(url: str, raw: Raw) -> None:
    raw.execute("UPDATE about SET version = 2")
    with pytest.raises(NewerSchema):
        PostgresStore(url)
    raw.execute("UPDATE about SET version = 1")
    raw.execute("DROP TABLE heads")
    with pytest.raises(Damaged, match="is gone"):
        PostgresStore(url)
    raw.execute("UPDATE about SET format = 'something else'")
    with pytest.raises(NotOurs):
        PostgresStore(url)


def test_servers_and_databases_that_are_not_there(server: Server) -> None:
    with pytest.raises(Unreachable, match="nowhere"):
        open_store(server.url("nowhere"))
    with pytest.raises(Unreachable):
        open_store("postgresql://ann:secret@/x?host=/nowhere", create=True)


def test_no_password_is_ever_shown() -> None:
    with pytest.raises(Unreachable) as failed:
        open_store("postgresql://ann:secret@/x?host=/nowhere&password=secret")
    assert "secret" not in str(failed.value)
    assert "postgresql://ann@" in str(failed.value)


def test_a_deleted_persons_name_is_not_in_the_table_any_more(url: str, raw: Raw) -> None:
    file = "SELECT pg_read_binary_file(pg_relation_filepath('people'))"
    with PostgresStore(url) as store:
        store.put_person("p1", {"name": "Quastlinger"})
        raw.execute("CHECKPOINT")
        assert b"Quastlinger" in (raw.execute(file.encode()).fetchone() or [b""])[0]
        store.delete_person("p1")
    raw.execute("CHECKPOINT")
    assert b"Quastlinger" not in (raw.execute(file.encode()).fetchone() or [b""])[0]
