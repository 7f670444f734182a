"""One idea: work that takes longer than a second says what it has found so far and how far it is from proved."""

import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager

AFTER_S = 1.0


class Progress:
    """Told what is searched, the best so far and the bound; prints a line a second on standard error.

    On a terminal the line is written over itself; elsewhere each line stands for itself.
    """

    def __init__(self) -> None:
        self._begun = time.monotonic()
        self._now: tuple[str, float, float] | None = None
        self._over = sys.stderr.isatty()
        self._stop = threading.Event()
        self._shown = False
        self._thread = threading.Thread(target=self._run, daemon=True)

    def __call__(self, what: str, best: float, bound: float) -> None:
        """Note the latest figures."""
        self._now = (what, best, bound)

    def _run(self) -> None:
        while not self._stop.wait(AFTER_S):
            text = self._text()
            if self._over:
                sys.stderr.write(f"\r\x1b[2K{text}")
            else:
                sys.stderr.write(f"{text}\n")
            sys.stderr.flush()
            self._shown = True

    def _text(self) -> str:
        seconds = time.monotonic() - self._begun
        if self._now is None:
            return f"searching, {seconds:.0f} s"
        what, best, bound = self._now
        unit = " min" if what == "least work" else ""
        return f"{what}: best {best:g}{unit}, cannot be under {bound:g}{unit}, {seconds:.0f} s (Ctrl-C: take the best)"

    def start(self) -> None:
        """Begin to look at the clock."""
        self._thread.start()

    def stop(self) -> None:
        """Print no more, and leave a clean line behind."""
        self._stop.set()
        self._thread.join()
        if self._shown and self._over:
            sys.stderr.write("\r\x1b[2K")
            sys.stderr.flush()


@contextmanager
def progress() -> Iterator[Progress]:
    """A progress line for as long as the block runs."""
    line = Progress()
    line.start()
    try:
        yield line
    finally:
        line.stop()
