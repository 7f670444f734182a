"""One idea: every frame that was sent or heard can be kept in a file, as evidence and to be read again later.

The kind of file follows from its suffix; python-can writes them.
"""

from copy import copy
from pathlib import Path
from types import TracebackType
from typing import Any, Final

import can
from can.io.logger import MESSAGE_WRITERS

from putback.core.finding import Finding, Where

_TEXT: Final = ".log"


class FrameLog:
    """A file of frames that is being written."""

    def __init__(self, writer: Any) -> None:
        self.count = 0
        self._writer = writer

    def __call__(self, frame: can.Message) -> None:
        """Write one frame; all under one channel, whatever the interface calls it: there is one bus."""
        self.count += 1
        one = copy(frame)
        one.channel = 0
        self._writer.on_message_received(one)

    def close(self) -> None:
        """Bring it to the disk."""
        self._writer.stop()

    def __enter__(self) -> "FrameLog":
        """The log itself."""
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Close it."""
        self.close()


def open_frame_log(path: Path, *, force: bool = False) -> FrameLog | Finding:
    """Begin a file of frames; a file that is there already stays, unless `force`."""
    if path.suffix.lower() not in MESSAGE_WRITERS:
        kinds = ", ".join(sorted(MESSAGE_WRITERS))
        return _finding(path, f"{path.suffix or 'no suffix'!r} is no kind of frame log", f"use one of {kinds}")
    if path.exists() and not force:
        return _finding(path, "it is there already", "name another file, or give --force")
    try:
        return FrameLog(can.Logger(path))
    except (ImportError, can.CanError, OSError, ValueError) as failure:
        return _finding(path, f"it cannot be written ({failure})", f"name another place, or use {_TEXT}")


def _finding(path: Path, what: str, mend: str) -> Finding:
    return Finding(where=Where(file=str(path), field="--frames"), what=what, mend=mend, rule="frame-log")
