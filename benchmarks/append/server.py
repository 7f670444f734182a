"""One idea: a PostgreSQL server of our own for a while: a new folder, a socket in it, its owner not root, fsync on."""

import os
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import psycopg

USER = "putback"
_PLACES = "/usr/lib/postgresql/*/bin /usr/pgsql-*/bin /usr/local/pgsql/bin /opt/homebrew/opt/postgresql*/bin"
_READY_S = 60.0


def programs() -> Path | None:
    """The folder with `initdb` and `postgres`, the newest version first; None where there is none."""
    found = [path.parent for place in _PLACES.split() for path in Path("/").glob(f"{place[1:]}/initdb")]
    on_path = shutil.which("initdb")
    folders = [*([Path(on_path).resolve().parent] if on_path else []), *sorted(found, reverse=True)]
    return next((folder for folder in folders if (folder / "postgres").exists()), None)


class Server:
    """A server that can be killed and started again on the same data."""

    def __init__(self, bin: Path, folder: Path, owner: str | None) -> None:
        self._bin = bin
        self._folder = folder
        self._owner = owner
        self._process: subprocess.Popen[bytes] | None = None

    def url(self, database: str = "postgres") -> str:
        """The address of a database on it."""
        return f"postgresql://{USER}@/{database}?host={self._folder}"

    def make(self) -> None:
        """Make the data folder."""
        command = [str(self._bin / "initdb"), "-D", str(self._folder / "data"), "-U", USER, "-A", "trust"]
        subprocess.run(
            [*command, "-E", "UTF8", "--locale=C"],
            user=self._owner,
            cwd=self._folder,
            check=True,
            stdout=subprocess.DEVNULL,
        )

    def start(self) -> None:
        """Start the server and wait until it answers."""
        settings = {
            "listen_addresses": "",
            "unix_socket_directories": str(self._folder),
            "fsync": "on",
            "recovery_init_sync_method": "syncfs",
        }
        words = [word for name, value in settings.items() for word in ("-c", f"{name}={value}")]
        deadline = time.monotonic() + _READY_S
        while True:
            if self._process is None or self._process.poll() is not None:
                command = [str(self._bin / "postgres"), "-D", str(self._folder / "data"), *words]
                with (self._folder / "log").open("ab") as log:
                    self._process = subprocess.Popen(
                        command, user=self._owner, cwd=self._folder, stdout=log, stderr=log, start_new_session=True
                    )
            try:
                psycopg.connect(self.url(), connect_timeout=2).close()
            except psycopg.Error:
                if time.monotonic() > deadline:
                    raise
                time.sleep(0.02)
            else:
                return

    def kill(self) -> None:
        """SIGKILL to the server and to every process of it, as close together as can be."""
        if self._process is None:
            return
        for pid in (self._process.pid, *_children(self._process.pid)):
            _signal(pid, signal.SIGKILL)
        self._process.wait()
        self._process = None

    def stop(self) -> None:
        """End the server in its own manner, or in ours when that takes too long."""
        if self._process is None:
            return
        self._process.send_signal(signal.SIGINT)
        try:
            self._process.wait(timeout=_READY_S)
            self._process = None
        except subprocess.TimeoutExpired:
            self.kill()

    def new_database(self, name: str) -> str:
        """Make an empty database; its address."""
        with psycopg.connect(self.url(), autocommit=True) as connection:
            connection.execute(f"CREATE DATABASE {name}".encode())
        return self.url(name)


def _signal(pid: int, number: int) -> None:
    try:
        os.kill(pid, number)
    except ProcessLookupError:
        return


def _children(parent: int) -> list[int]:
    """The processes whose parent is this one, where the system has /proc."""
    found = []
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            after_name = stat.read_text().rpartition(")")[2].split()
        except OSError:
            continue
        if int(after_name[1]) == parent:
            found.append(int(stat.parent.name))
    return found


@contextmanager
def running() -> Iterator[Server]:
    """A server for the length of a block.

    Raises:
        LookupError: no server program on this machine.
    """
    bin = programs()
    if bin is None:
        raise LookupError("no PostgreSQL server program found; on Debian and its kin: apt-get install postgresql")
    owner = None
    folder = Path(tempfile.mkdtemp(prefix="pg-"))
    if os.geteuid() == 0:
        owner = "postgres"
        shutil.chown(folder, owner)
    server = Server(bin, folder, owner)
    try:
        server.make()
        server.start()
        yield server
    finally:
        server.stop()
        shutil.rmtree(folder, ignore_errors=True)
