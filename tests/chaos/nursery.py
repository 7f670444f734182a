"""One idea: `putback serve` as a process of its own that can be killed at any moment and is soon back.

The program is loaded once and forked for each start: the child is a whole server with its own store and its own port,
and a SIGKILL ends it in the middle of whatever it does.
"""

import ctypes
import os
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path

READY_SECONDS = 20.0
_DIE_WITH_PARENT = 1


def serve_on_demand() -> None:
    """Fork a server for each line of words on standard input; say its process id."""
    import uvicorn  # noqa: F401, PLC0415 - loaded once for all servers

    from putback.faces.cli.serve import command  # noqa: PLC0415 - the same
    from putback.faces.web import static  # noqa: PLC0415 - the same

    for name in {*static.FILES, *static.SHELL, "sw.js"}:
        static.content(name)  # by a library with threads of its own, which a fork would not have
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)
    for line in sys.stdin:
        child = os.fork()
        if child == 0:
            ctypes.CDLL(None).prctl(_DIE_WITH_PARENT, signal.SIGKILL)
            signal.signal(signal.SIGCHLD, signal.SIG_DFL)
            os.close(0)
            command.main(line.rstrip("\n").split("\t"), prog_name="putback serve", standalone_mode=False)
            os._exit(0)
        sys.stdout.write(f"{child}\n")
        sys.stdout.flush()


class Nursery:
    """Where servers come from."""

    def __init__(self) -> None:
        tests = str(Path(__file__).parents[1])
        self._mother = subprocess.Popen(
            [sys.executable, "-c", "from chaos.nursery import serve_on_demand; serve_on_demand()"],
            env={**os.environ, "PYTHONPATH": os.pathsep.join((*sys.path, tests))},
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )

    def start(self, *words: str) -> int:
        """Start `putback serve` with these words; its process id."""
        assert self._mother.stdin is not None
        assert self._mother.stdout is not None
        self._mother.stdin.write("\t".join(words) + "\n")
        self._mother.stdin.flush()
        while (said := self._mother.stdout.readline()) and not said.strip().isdecimal():
            pass  # the greeting of an earlier server
        assert said, "the servers' mother has died: what it said is on standard error"
        return int(said)

    def close(self) -> None:
        """No more servers."""
        assert self._mother.stdin is not None
        assert self._mother.stdout is not None
        self._mother.stdin.close()
        self._mother.stdout.close()
        self._mother.wait(READY_SECONDS)


class Server:
    """One server on one port; what it keeps stays when it is killed."""

    def __init__(self, nursery: Nursery, *, port: int, store: str, files: Path) -> None:
        self.port, self.store, self.files = port, store, files
        self._nursery = nursery
        self._process: int | None = None

    def start(self) -> None:
        """Serve; answers once somebody can call."""
        words = ["--store", self.store, "--files", str(self.files), "--port", str(self.port)]
        self._process = self._nursery.start(*words)
        until = time.monotonic() + READY_SECONDS
        while True:
            try:
                socket.create_connection(("127.0.0.1", self.port), timeout=1).close()
            except OSError:
                assert time.monotonic() < until, "the server does not start"
                time.sleep(0.01)
            else:
                return

    @property
    def runs(self) -> bool:
        """Whether it was started and not killed since."""
        return self._process is not None

    def kill(self) -> None:
        """SIGKILL: nothing is said to it before. Answers once nobody listens any more."""
        process, self._process = self._process, None
        if process is None:
            return
        os.kill(process, signal.SIGKILL)
        while Path(f"/proc/{process}").exists():
            time.sleep(0.002)
