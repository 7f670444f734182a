"""One idea: a workshop's records are one file, written by one writer, and on the disk before they are acknowledged.

WAL with synchronous FULL: a commit returns after the log is flushed (sqlite.org/wal.html, sqlite.org/pragma.html,
"synchronous"). The writer takes the lock at once (BEGIN IMMEDIATE), so it never has to give up half way.
"""

import os
import sqlite3
import tempfile
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import closing, contextmanager
from pathlib import Path
from threading import Lock
from types import MappingProxyType
from typing import Any
from urllib.parse import quote

from putback.adapters.stores import tables
from putback.adapters.stores.base import TableStore
from putback.adapters.stores.failures import Damaged, DiskFull, Locked, NewerSchema, NotOurs, ReadOnly, StoreFailed
from putback.adapters.stores.tables import Run

OFFER_AGAIN = "nothing was lost that was acknowledged; offer the rest again"
PATIENCE_S = 10.0

_LOG_PAGES = 4000
"""When the log is brought into the file, [pages of 4 KiB]. Whoever appends then waits for more than one flush, so it
is done less often than SQLite would by itself (1000)."""


class SqliteStore(TableStore):
    """Records in one SQLite file.

    Args:
        path: the file.
        create: make the file where there is none.
        read_only: open it for reading and change nothing, not even the file's mode.
        patience_s: how long to wait for another writer, [s].

    Raises:
        NotOurs: no file, or no store. NewerSchema, ReadOnly, Locked, Damaged: as they say.
    """

    def __init__(
        self, path: Path, *, create: bool = False, read_only: bool = False, patience_s: float = PATIENCE_S
    ) -> None:
        super().__init__(str(path))
        self._path = path
        self._patience_s = patience_s
        self._read_lock, self._write_lock = Lock(), Lock()
        if path.is_dir():
            raise NotOurs(self.name, "this is a folder", "name a file in it")
        new = not path.exists()
        if new and (read_only or not create):
            raise NotOurs(self.name, "there is no store", "check the name and the folder")
        with self._failures():
            if new:
                _make(path)
            self._reader = self._connect("ro")
            try:
                _check(self.name, self._reader)
                self._writer = None if read_only else self._open_writer()
            except BaseException:
                self._reader.close()
                raise

    def _connect(self, mode: str, *, extra: str = "") -> sqlite3.Connection:
        connection = _connect(self._path, mode + extra, self._patience_s)
        try:
            connection.execute("SELECT 1 FROM sqlite_master").fetchall()
        except sqlite3.Error as error:
            connection.close()
            barred = _code(error) in (sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_READONLY)
            if mode != "ro" or extra or not barred or self._has_log():
                raise
            # A folder that cannot be written, and no log: nobody is writing, so no lock is needed to read.
            return self._connect("ro", extra="&immutable=1")
        return connection

    def _has_log(self) -> bool:
        """Whether a log with committed pages stands beside the file; it may not be passed over."""
        log = self._path.with_name(self._path.name + "-wal")
        return log.exists() and log.stat().st_size > 0

    def _open_writer(self) -> sqlite3.Connection:
        if not os.access(self._path, os.W_OK):
            raise ReadOnly(self.name, "the file may not be written", "check whose file it is, or open it to read only")
        writer = self._connect("rw")
        try:
            _set_up(writer, self._patience_s)
        except BaseException:
            writer.close()
            raise
        return writer

    @contextmanager
    def _reading(self) -> Iterator[Run]:
        with self._read_lock, self._failures():
            yield _runs(self._reader)

    @contextmanager
    def _writing(self, jobs: Sequence[str]) -> Iterator[Run]:  # noqa: ARG002 - one writer: every job is locked
        writer = self._writer
        if writer is None:
            raise ReadOnly(self.name, "the store was opened to read only", "open it to write")
        with self._write_lock, self._failures():
            writer.execute("BEGIN IMMEDIATE")
            try:
                yield _runs(writer)
                writer.execute("COMMIT")
            except BaseException:
                if writer.in_transaction:
                    writer.execute("ROLLBACK")
                raise

    def _wipe(self) -> None:
        """Bring the zeros that secure_delete wrote into the file, and empty the log that held the old pages."""
        writer = self._writer
        if writer is not None:
            with self._write_lock, self._failures():
                writer.execute("PRAGMA wal_checkpoint(TRUNCATE)")

    def pack(self) -> None:
        """Bring everything into the one file and leave no log beside it; the store must be closed next."""
        writer = self._writer
        if writer is not None:
            with self._write_lock, self._read_lock, self._failures():
                self._reader.close()
                writer.execute("PRAGMA wal_checkpoint(TRUNCATE)")
                writer.execute("PRAGMA journal_mode = DELETE")

    def close(self) -> None:
        """Let go of the file."""
        with self._write_lock, self._read_lock:
            self._reader.close()
            if self._writer is not None:
                self._writer.close()

    @contextmanager
    def _failures(self) -> Iterator[None]:
        try:
            yield
        except sqlite3.Error as error:
            raise _failure(self.name, error) from error
        except OSError as error:
            raise NotOurs(self.name, f"cannot be opened: {error.strerror}", "check the name and the folder") from error


def _connect(path: Path, mode: str, patience_s: float) -> sqlite3.Connection:
    uri = f"file:{quote(str(path.absolute()))}?mode={mode}"
    connection = sqlite3.connect(uri, uri=True, timeout=patience_s, isolation_level=None, check_same_thread=False)
    connection.execute("PRAGMA trusted_schema = OFF")
    return connection


def _set_up(writer: sqlite3.Connection, patience_s: float) -> None:
    """Ready a connection for writing. Changing the mode does not wait for others by itself, so it is tried again."""
    give_up = time.monotonic() + patience_s
    while True:
        try:
            writer.execute("PRAGMA journal_mode = WAL")
            break
        except sqlite3.OperationalError as error:
            if _code(error) != sqlite3.SQLITE_BUSY or time.monotonic() > give_up:
                raise
            time.sleep(0.01)
    for pragma in ("synchronous = FULL", "secure_delete = ON", "cell_size_check = ON"):
        writer.execute(f"PRAGMA {pragma}")
    writer.execute(f"PRAGMA wal_autocheckpoint = {_LOG_PAGES}")


def _make(path: Path) -> None:
    """Make an empty store beside its place and give it its name when it is whole; for its owner's eyes only.

    Where somebody else was quicker, theirs stands.
    """
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}-")
    os.close(handle)
    part = Path(name)
    try:
        with closing(_connect(part, "rw", PATIENCE_S)) as connection:
            _set_up(connection, PATIENCE_S)
            connection.execute("BEGIN IMMEDIATE")
            for table in tables.columns("BLOB"):
                # Rows stand in their key's own tree (sqlite.org/withoutrowid.html): one page less for each append.
                key = ", WITHOUT ROWID" if "PRIMARY KEY" in table else ""
                connection.execute(f"CREATE TABLE {table} STRICT{key}")
            connection.execute("INSERT INTO about VALUES (?, ?)", (tables.FORMAT, tables.VERSION))
            connection.execute("COMMIT")
        give_name(part, path)
    finally:
        part.unlink(missing_ok=True)


def give_name(part: Path, path: Path) -> bool:
    """Give a finished file its name, durably; False where something has that name already, which is left alone."""
    try:
        os.link(part, path)
    except FileExistsError:
        return False
    except OSError:  # a file system without links, such as that of many memory sticks
        if path.exists():
            return False
        part.rename(path)
    part.unlink(missing_ok=True)
    flush_folder(path.parent)
    return True


def _runs(connection: sqlite3.Connection) -> Run:
    def run(statement: str, values: Sequence[Any]) -> list[tuple[Any, ...]]:
        return connection.execute(statement, values).fetchall()

    return run


def _check(name: str, connection: sqlite3.Connection) -> None:
    """Refuse a file that is no store, and one of a newer program."""
    named = {row[0] for row in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    about = connection.execute("SELECT format, version FROM about").fetchall() if "about" in named else []
    check_about(name, about, named)


def check_about(name: str, about: Sequence[tuple[Any, ...]], named: set[str]) -> None:
    """Refuse what is no store of this format, and what a newer program made.

    Args:
        name: the store.
        about: the rows of its table `about`: format and version.
        named: the tables that are there.
    """
    if len(about) != 1 or about[0][0] != tables.FORMAT:
        raise NotOurs(name, "this is no store of records", "check the name; nothing was changed")
    if about[0][1] > tables.VERSION:
        what = f"made by a newer program (schema {about[0][1]}, this one knows {tables.VERSION})"
        raise NewerSchema(name, what, "use the newer program; nothing was changed")
    if missing := sorted(set(tables.TABLES) - named):
        raise Damaged(name, f"the table {missing[0]} is gone", "keep it as it is and look for a back-up")


def flush_folder(folder: Path) -> None:
    """Make a new or renamed file's name durable, where the system lets a folder be flushed."""
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        return
    try:
        os.fsync(handle)
    except OSError:
        return
    finally:
        os.close(handle)


def _code(error: sqlite3.Error) -> int:
    """The primary result code: the low byte of the extended one (sqlite.org/rescode.html)."""
    return (getattr(error, "sqlite_errorcode", None) or 0) & 0xFF


_MEANS: Mapping[int, tuple[type[StoreFailed], str, str]] = MappingProxyType(
    {
        sqlite3.SQLITE_BUSY: (Locked, "another program is writing and did not finish in time", OFFER_AGAIN),
        sqlite3.SQLITE_LOCKED: (Locked, "another program is writing and did not finish in time", OFFER_AGAIN),
        sqlite3.SQLITE_FULL: (DiskFull, "the disk is full", f"make room; {OFFER_AGAIN}"),
        sqlite3.SQLITE_READONLY: (ReadOnly, "the file or its folder may not be written", "check whose file it is"),
        sqlite3.SQLITE_NOTADB: (NotOurs, "this is no store of records", "check the name; nothing was changed"),
        sqlite3.SQLITE_CANTOPEN: (NotOurs, "cannot be opened", "check the name, the folder and whose they are"),
        sqlite3.SQLITE_CONSTRAINT: (Damaged, "two events claim one place", "check it with putback record verify"),
    }
)


def _failure(name: str, error: sqlite3.Error) -> StoreFailed:
    """A driver's error as what it means for the record."""
    if _code(error) in _MEANS:
        kind, what, mend = _MEANS[_code(error)]
        return kind(name, what, mend)
    return Damaged(name, f"the file or the disk is damaged ({error})", "keep it as it is and look for a back-up")
