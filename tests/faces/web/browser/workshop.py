"""A workshop's server for tests in a browser: a real one on a free port, with a clock that a test can move."""

import itertools
import os
import socket
import threading
import time
from collections.abc import Iterable
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import uvicorn

from putback.adapters.car_file import demo_path
from putback.adapters.stores import open_store
from putback.bay import Bay, JobView, Opening, OpenJob, Shelf
from putback.core.record import Event
from putback.faces.web import make_app

HOURS_EAST = (10 - datetime.fromtimestamp(time.time(), tz=UTC).hour + 12) % 24 - 12
"""The workshop stands where it is between ten and eleven now: no test runs into the night unless it means to."""

ZONE = f"Etc/GMT{-HOURS_EAST:+d}"
"""The same by name, for the browser; the sign is the other way round in these names (POSIX)."""

_HERE = timezone(timedelta(hours=HOURS_EAST))


_PORTS = itertools.count(20_000 + (os.getpid() % 100) * 100)
"""Below the ports that a system gives away by itself: one of ours stays ours while its server is down."""


def free_port() -> int:
    """A port that nobody listens on now, and that no other process of these tests is given."""
    for port in _PORTS:
        with socket.socket() as probe:
            try:
                probe.bind(("127.0.0.1", port))
            except OSError:
                continue
            return port
    raise AssertionError("ports never end")


class Workshop:
    """A server that can be stopped and started again on the same port, with what it keeps in a folder."""

    def __init__(self, folder: Path) -> None:
        self.port = free_port()
        self.ahead = timedelta(0)
        self._ids = itertools.count()
        self._files = folder / "files"
        self._open(folder)
        self._server: uvicorn.Server | None = None
        self._thread: threading.Thread | None = None

    def _open(self, folder: Path) -> None:
        self._store = open_store(str(folder / "store.db"), create=True)
        self.bay = Bay(
            store=self._store,
            shelf=Shelf(self._files),
            cars={demo_path().name: demo_path()},
            clock=self.now,
            new_id=lambda: f"t{next(self._ids)}",
        )

    def replace(self, folder: Path, events: Iterable[Event]) -> None:
        """Go on with another store that holds these events alone, as after a back-up was restored."""
        self._store.close()
        self._open(folder)
        self._store.append(list(events), received_at=self.now().isoformat(timespec="milliseconds"))

    @property
    def address(self) -> str:
        """Where the pages are."""
        return f"http://127.0.0.1:{self.port}"

    def now(self) -> datetime:
        """The server's clock: the machine's, moved by `ahead`."""
        return datetime.fromtimestamp(time.time(), tz=_HERE) + self.ahead

    def start(self) -> None:
        """Serve, and answer only when somebody can call."""
        app = make_app(self.bay, hosts=[f"127.0.0.1:{self.port}"])
        config = uvicorn.Config(
            app, host="127.0.0.1", port=self.port, log_level="error", lifespan="off", timeout_graceful_shutdown=1
        )
        self._server = uvicorn.Server(config)
        self._thread = threading.Thread(target=self._server.run, daemon=True)
        self._thread.start()
        while not self._server.started:
            time.sleep(0.01)

    def stop(self) -> None:
        """No answer any more, until it is started again."""
        if self._server is not None and self._thread is not None:
            self._server.should_exit = True  # force_exit would leave sockets open, and a later test is blamed for it
            self._thread.join(10)
            self._server = self._thread = None

    def close(self) -> None:
        """Stop for good."""
        self.stop()
        self._store.close()

    def open_job(self, *wanted: str) -> str:
        """Open a job on the demo car; its id."""
        opened = self.bay.open_job(Opening(car=demo_path().name, wanted=wanted or ("thermostat-and-pump",)))
        assert isinstance(opened, OpenJob)
        return opened.job

    def log_done(self, job: str, operations: Iterable[dict[str, Any]]) -> None:
        """Log operations of the pack as planned, as another device would."""
        fields = ("verb", "item", "joint", "way", "count", "thread", "stow", "guard", "energy", "fluid")
        events = [
            Event(
                id=f"bench-{next(self._ids)}",
                job=job,
                device="bench",
                at=self.now().isoformat(timespec="milliseconds"),
                person="p-bench",
                kind="operation done",
                body={"planned": op["n"]} | {name: op[name] for name in fields if name in op},
            )
            for op in operations
        ]
        self._store.append(events, received_at=self.now().isoformat(timespec="milliseconds"))

    def view(self, job: str) -> JobView:
        """The job as the server has it."""
        view = self.bay.view(job)
        assert isinstance(view, JobView)
        return view

    def events(self, job: str, kind: str | None = None) -> list[Event]:
        """The events of a job in the server's order, of one kind or all."""
        return [one.event for one in self.view(job).received if kind in (None, one.event.kind)]

    def bodies(self, job: str, kind: str) -> list[dict[str, Any]]:
        """What the events of one kind say."""
        return [dict(event.body) for event in self.events(job, kind)]
