"""One idea: a child process reads what may hang or swell; its frames come through a pipe until its time is over."""

import os
import select
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from time import monotonic
from typing import Final

from putback.adapters.frame_child import ENDED, HEAD

MOST_BYTES: Final = 1_500_000_000
"""Address space of the child; the libraries alone take some hundred million."""

_PIECE: Final = 1 << 16


def read_in_child(
    path: Path,
    take: Callable[[list[tuple[float, int, bytes]]], None],
    *,
    most_seconds: int,
    most_bytes: int = MOST_BYTES,
) -> str:
    """Give the frames of a log to `take`; why not all of it was read, empty where all was."""
    words = [
        sys.executable,
        "-m",
        "putback.adapters.frame_child",
        str(path.absolute()),
        str(most_bytes),
        str(most_seconds),
    ]
    with subprocess.Popen(words, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL) as child:
        try:
            return _follow(child, take, monotonic() + most_seconds)
        finally:
            child.kill()


def _follow(
    child: "subprocess.Popen[bytes]", take: Callable[[list[tuple[float, int, bytes]]], None], end: float
) -> str:
    assert child.stdout is not None
    pipe, rest = child.stdout.fileno(), b""
    while True:
        ready, _, _ = select.select([pipe], [], [], max(end - monotonic(), 0.0))
        if not ready:
            return "it took longer than a log may"
        piece = os.read(pipe, _PIECE)
        if not piece:
            return (
                f"the reader was stopped (signal {-child.wait()})" if child.wait() < 0 else "the reader stopped early"
            )
        rows, rest, over = _parsed(rest + piece)
        take(rows)
        if over:
            while piece := os.read(pipe, _PIECE):
                rest += piece
            return rest.decode("utf-8", "replace")


def _parsed(data: bytes) -> tuple[list[tuple[float, int, bytes]], bytes, bool]:
    """Whole records, what is left, and whether the last record came; then what is left is what the child says."""
    rows: list[tuple[float, int, bytes]] = []
    at = 0
    while at + HEAD.size <= len(data):
        time, place, length = HEAD.unpack_from(data, at)
        if length == ENDED:
            return rows, data[at + HEAD.size :], True
        if at + HEAD.size + length > len(data):
            break
        rows.append((time, place, data[at + HEAD.size : at + HEAD.size + length]))
        at += HEAD.size + length
    return rows, data[at:], False
