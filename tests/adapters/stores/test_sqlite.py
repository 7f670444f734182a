"""What only the file store has: its file, its failures, and tampering behind its back with sqlite3 itself."""

import os
import sqlite3
import stat
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from core.record.made import event, opening
from putback.adapters.stores import (
    Damaged,
    DiskFull,
    Locked,
    NewerSchema,
    NotOurs,
    ReadOnly,
    SqliteStore,
    StoreFailed,
    open_store,
)
from putback.adapters.stores.check import check_job
from putback.core.record import Ack, Answer, head_of, read_head

AT = "2026-03-02T07:15:01Z"
COUNT = 6


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A store with six events."""
    made = tmp_path / "workshop.record"
    with SqliteStore(made, create=True) as store:
        store.append([opening(), *(event(f"e{n}") for n in range(2, COUNT + 1))], received_at=AT)
    return made


@pytest.fixture
def raw(path: Path) -> Iterator[sqlite3.Connection]:
    """The same file, opened behind the store's back."""
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        yield connection


def places(path: Path, head: str | None = None) -> list[int | None]:
    with SqliteStore(path, read_only=True) as store:
        kept = [read_head(head)] if head else []
        return [fault.where.line for fault in check_job(store, "job-1", kept=kept).faults]


# The statements of a person with any SQLite tool, and the event that a check must name first.
TAMPERED: list[tuple[str, int]] = [
    ("UPDATE links SET content = CAST(replace(CAST(content AS TEXT), 'e3', 'e8') AS BLOB) WHERE seq = 3", 3),
    ("UPDATE links SET content = zeroblob(10) WHERE seq = 4", 4),
    ("UPDATE links SET received_at = '2026-03-02T07:15:02Z' WHERE seq = 2", 2),
    ("UPDATE links SET hash = upper(hash) WHERE seq = 5", 5),
    ("UPDATE links SET hash = '' WHERE seq = 6", 6),
    ("UPDATE links SET id = 'other' WHERE seq = 2", 2),
    ("UPDATE links SET job = 'job-2' WHERE seq = 3", 3),
    ("DELETE FROM links WHERE seq = 1", 1),
    ("DELETE FROM links WHERE seq = 4", 4),
    ("DELETE FROM links WHERE seq > 4", 5),
    ("DELETE FROM links", 1),
    ("UPDATE links SET seq = 50 WHERE seq = 4", 4),
    ("UPDATE links SET seq = -seq", 1),
    ("UPDATE heads SET seq = 5", 5),
    ("UPDATE heads SET seq = 7", 7),
    ("UPDATE heads SET hash = 'x'", 6),
    ("DELETE FROM heads", 1),
    ("INSERT INTO links SELECT job, 7, 'e7', received_at, content, hash FROM links WHERE seq = 6", 7),
]


@pytest.mark.parametrize(("statement", "place"), TAMPERED)
def test_tampering_with_the_tables_is_found_at_its_place(
    path: Path, raw: sqlite3.Connection, statement: str, place: int
) -> None:
    raw.execute(statement)
    found = [line for line in places(path) if line is not None and line > 0]
    assert found[0] == place


@given(data=st.data())
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_edit_of_any_stored_field_is_found(path: Path, raw: sqlite3.Connection, data: st.DataObject) -> None:
    seq = data.draw(st.integers(1, COUNT))
    field = data.draw(st.sampled_from(["job", "seq", "id", "received_at", "content", "hash"]))
    (old,) = raw.execute(f"SELECT {field} FROM links WHERE seq = ?", (seq,)).fetchone()
    new: Any = data.draw(_others(old))
    assert places(path) == []
    raw.execute("BEGIN")
    raw.execute(f"UPDATE links SET {field} = ? WHERE seq = ?", (new, seq))
    raw.execute("COMMIT")
    found = places(path)
    back = "UPDATE links SET {0} = ? WHERE {0} = ?" if field == "seq" else "UPDATE links SET {0} = ? WHERE seq = ?"
    raw.execute(back.format(field), (old, new if field == "seq" else seq))
    assert seq in found if field == "seq" else found[0] == seq
    assert places(path) == []


def _others(old: Any) -> st.SearchStrategy[Any]:
    if isinstance(old, int):
        return st.integers(COUNT + 1, 2**40)
    if isinstance(old, bytes):
        at = st.integers(0, len(old) - 1)
        flipped = st.tuples(at, st.integers(1, 255)).map(
            lambda pair: old[: pair[0]] + bytes([old[pair[0]] ^ pair[1]]) + old[pair[0] + 1 :]
        )
        return flipped | at.map(lambda end: old[:end])
    return st.text("0123456789abcdef", min_size=1, max_size=64).filter(lambda text: text != old)


def test_a_cut_end_with_the_head_cut_as_well_needs_a_kept_head(path: Path, raw: sqlite3.Connection) -> None:
    with SqliteStore(path, read_only=True) as store:
        head = str(head_of("job-1", store.read("job-1")))
    raw.execute("DELETE FROM links WHERE seq > 4")
    raw.execute("UPDATE heads SET seq = 4, hash = (SELECT hash FROM links WHERE seq = 4)")
    assert places(path) == []
    assert places(path, head) == [5]


def test_the_file_is_for_its_owner_and_alone_when_closed(path: Path) -> None:
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert [found.name for found in path.parent.iterdir()] == [path.name]


def test_its_settings_are_those_that_keep_what_is_acknowledged(path: Path) -> None:
    """sqlite.org/pragma.html: synchronous 2 is FULL."""
    with SqliteStore(path) as store:
        assert store._writer is not None
        asked = ("journal_mode", "synchronous", "secure_delete")
        assert [store._writer.execute(f"PRAGMA {name}").fetchone()[0] for name in asked] == ["wal", 2, 1]


def test_checking_changes_no_byte(path: Path) -> None:
    before = path.read_bytes()
    assert places(path) == []
    assert path.read_bytes() == before


def test_a_deleted_persons_name_is_not_in_the_file_any_more(path: Path) -> None:
    with SqliteStore(path) as store:
        store.put_person("p1", {"name": "Quastlinger", "phone": "0049"})
        assert _in_files(path, b"Quastlinger")
        store.delete_person("p1")
        assert not _in_files(path, b"Quastlinger")


def _in_files(path: Path, name: bytes) -> bool:
    return any(name in one.read_bytes() for one in path.parent.iterdir())


def test_a_writer_that_does_not_finish_is_waited_for_and_then_said(path: Path, raw: sqlite3.Connection) -> None:
    with SqliteStore(path, patience_s=0.1) as store:
        raw.execute("BEGIN IMMEDIATE")
        with pytest.raises(Locked, match="offer the rest again"):
            store.append([event("e9")], received_at=AT)
        assert len(store.read("job-1")) == COUNT
        raw.execute("ROLLBACK")
        assert isinstance(store.append([event("e9")], received_at=AT)[0], Ack)


def test_a_full_disk_is_said_and_loses_nothing(path: Path) -> None:
    """sqlite.org/pragma.html: past max_page_count an insert fails as on a full disk (SQLITE_FULL)."""
    with SqliteStore(path) as store:
        assert store._writer is not None
        (pages,) = store._writer.execute("PRAGMA page_count").fetchone()
        store._writer.execute(f"PRAGMA max_page_count = {pages}")
        acknowledged: list[Answer] = []

        def fill() -> None:
            for n in range(1000):
                acknowledged.extend(store.append([event(f"full-{n}", body={"note": "x" * 500})], received_at=AT))

        with pytest.raises(DiskFull, match="make room"):
            fill()
        assert [link.id for link in store.read("job-1", after_seq=COUNT)] == [one.id for one in acknowledged]
        store._writer.execute("PRAGMA max_page_count = 100000")
        store.append([event("after")], received_at=AT)
    assert places(path) == []


def test_a_file_that_may_not_be_written(path: Path) -> None:
    path.chmod(0o400)
    if os.access(path, os.W_OK):
        pytest.skip("this user may write every file")
    with pytest.raises(ReadOnly):
        SqliteStore(path)
    assert places(path) == []


def test_what_is_no_store_is_left_alone(tmp_path: Path) -> None:
    text, other, folder = tmp_path / "a.txt", tmp_path / "b.db", tmp_path / "c"
    text.write_text("items:\n" * 1000)
    with closing(sqlite3.connect(other)) as connection:
        connection.execute("CREATE TABLE about (format TEXT, version INTEGER)")
        connection.execute("INSERT INTO about VALUES ('something else', 1)")
        connection.commit()
    folder.mkdir()
    before = (text.read_bytes(), other.read_bytes())
    for path in (text, other, folder, tmp_path / "gone" / "d.record"):
        for create in (True, False):
            with pytest.raises(NotOurs):
                open_store(str(path), create=create)
    assert (text.read_bytes(), other.read_bytes()) == before


def test_a_newer_schema_is_refused(path: Path, raw: sqlite3.Connection) -> None:
    raw.execute("UPDATE about SET version = 2")
    with pytest.raises(NewerSchema, match="newer program"):
        SqliteStore(path)


@pytest.mark.parametrize("table", ["links", "heads", "people"])
def test_a_store_without_one_of_its_tables_is_damaged(path: Path, raw: sqlite3.Connection, table: str) -> None:
    raw.execute(f"DROP TABLE {table}")
    with pytest.raises(Damaged, match="is gone"):
        SqliteStore(path)


@given(data=st.data())
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_bytes_overwritten_on_the_disk_are_found_or_said(path: Path, data: st.DataObject) -> None:
    """The check names a fault, or the file cannot be read, or nothing that matters differs."""
    sound = path.read_bytes()
    with SqliteStore(path, read_only=True) as store:
        links = store.read("job-1")
    at = data.draw(st.integers(0, len(sound) - 1))
    bad = bytearray(sound)
    for offset in range(data.draw(st.integers(1, 64))):
        bad[(at + offset) % len(bad)] ^= data.draw(st.integers(1, 255))
    path.write_bytes(bytes(bad))
    try:
        with SqliteStore(path, read_only=True) as store:
            checked, seen = check_job(store, "job-1"), store.read("job-1")
        assert checked.faults or seen == links
    except StoreFailed:
        pass
    finally:
        path.write_bytes(sound)
