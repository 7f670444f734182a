"""One idea: between device and server runs a wire that can be cut before a call, after its answer, or for good.

The wire takes one call whole, passes it on, takes the answer whole and hands it back, so that each of the moments
between can be the one at which something goes wrong.
"""

import http.client
import threading
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

AMID_SECONDS = 0.004
LATE_SECONDS = 0.4


class Fault(StrEnum):
    """What happens to one call by which a device offers what it has."""

    CUT_BEFORE = "call cut before the server"
    CUT_AFTER = "answer cut after the server kept it"
    LATE = "answer late"
    KILL_BEFORE = "server killed before the call"
    KILL_AMID = "server killed amid the call"
    KILL_AFTER = "server killed after it kept, before the answer"


KILLS = frozenset({Fault.KILL_BEFORE, Fault.KILL_AMID, Fault.KILL_AFTER})


class Cut(Exception):
    """The call ends here, without an answer."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """A whole answer of the server."""

    status: int
    headers: tuple[tuple[str, str], ...]
    body: bytes


class Wire:
    """The wire: `down` cuts every call, `faults` meet the next calls that offer something, one each."""

    def __init__(self, server_port: int) -> None:
        self.server_port = server_port
        self.down = False
        self.faults: list[Fault] = []
        self.met: Counter[Fault] = Counter()
        self.kill: Callable[[], None] = lambda: None
        self._lock = threading.Lock()
        self._listener = _Listener(self)
        self.port = int(self._listener.server_address[1])
        self._thread = threading.Thread(target=self._listener.serve_forever, args=(0.05,), daemon=True)
        self._thread.start()

    @property
    def address(self) -> str:
        """Where devices call."""
        return f"http://127.0.0.1:{self.port}"

    def close(self) -> None:
        """Take the wire away."""
        self._listener.shutdown()
        self._listener.server_close()
        self._thread.join(5)

    def pass_on(self, method: str, path: str, headers: dict[str, str], body: bytes) -> Answer:
        """One call, with the fault that waits for it."""
        fault = self._next(method)
        if self.down or fault is Fault.CUT_BEFORE:
            raise Cut
        if fault is Fault.KILL_BEFORE:
            self.kill()
        if fault is Fault.KILL_AMID:
            threading.Timer(AMID_SECONDS, self.kill).start()
        answer = self._ask(method, path, headers, body)
        if fault is Fault.LATE:
            time.sleep(LATE_SECONDS)
        if fault is Fault.KILL_AFTER:
            self.kill()
        if fault in (Fault.KILL_AFTER, Fault.CUT_AFTER):
            raise Cut
        return answer

    def _next(self, method: str) -> Fault | None:
        with self._lock:
            if method != "POST" or not self.faults or self.down:
                return None
            fault = self.faults.pop(0)
            self.met[fault] += 1
            return fault

    def _ask(self, method: str, path: str, headers: dict[str, str], body: bytes) -> Answer:
        line = http.client.HTTPConnection("127.0.0.1", self.server_port, timeout=20)
        try:
            line.request(method, path, body or None, headers)
            said = line.getresponse()
            return Answer(status=said.status, headers=tuple(said.getheaders()), body=said.read())
        except (OSError, http.client.HTTPException) as wrong:
            raise Cut from wrong
        finally:
            line.close()


class _Listener(ThreadingHTTPServer):
    daemon_threads = True
    block_on_close = False

    def __init__(self, wire: Wire) -> None:
        self.wire = wire
        super().__init__(("127.0.0.1", 0), _Call)

    def handle_error(self, request: object, client_address: object) -> None:
        """A device that went away in the middle is nothing to speak of here."""


class _Call(BaseHTTPRequestHandler):
    protocol_version = "HTTP/1.1"
    timeout = 30

    def _through(self) -> None:
        wire = self.server.wire  # type: ignore[attr-defined]
        body = self.rfile.read(int(self.headers.get("content-length", 0)))
        mine, theirs = f"127.0.0.1:{wire.port}", f"127.0.0.1:{wire.server_port}"
        headers = {name: value.replace(mine, theirs) for name, value in self.headers.items()}
        headers["connection"] = "close"
        headers.pop("accept-encoding", None)
        try:
            answer = wire.pass_on(self.command, self.path, headers, body)
        except Cut:
            self.close_connection = True
            return
        self.send_response_only(answer.status)
        for name, value in answer.headers:
            if name.lower() not in ("connection", "content-length", "transfer-encoding"):
                self.send_header(name, value.replace(theirs, mine))
        self.send_header("content-length", str(len(answer.body)))
        self.end_headers()
        self.wfile.write(answer.body)

    do_GET = do_POST = _through  # noqa: N815 - the names that http.server asks for

    def log_message(self, format: str, *args: object) -> None:
        """Nothing is printed."""
