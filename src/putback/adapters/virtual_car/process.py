"""One idea: the virtual car runs in a process of its own, on a bus that no other run uses, and ends with its parent.

It is told what happens in lines of JSON on its standard input, and answers each with one line.
"""

import json
import secrets
import socket
import subprocess
import sys
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from types import MappingProxyType, TracebackType
from typing import Any, Final

import can

from putback.adapters.virtual_car.faults import Switches
from putback.adapters.virtual_car.happened import Happened, plain
from putback.adapters.virtual_car.modules import PAIRS
from putback.core.codes.talk.car_read import Pair, read_pair

INTERFACE: Final = "udp_multicast"
STAYS_HERE: Final = 0
"""Hops that a frame may go: none, so it stays on this machine."""

_ENDS_WITHIN_S: Final = 5.0


class NotTakenError(ValueError):
    """The virtual car did not take what it was told; the text says why."""


class Handle:
    """A running virtual car. As a context manager it ends with its block."""

    interface: Final = INTERFACE
    pairs: Mapping[str, Pair] = PAIRS

    def __init__(self, process: "subprocess.Popen[str]", channel: str, port: int) -> None:
        self.channel = channel
        self.options: Mapping[str, Any] = MappingProxyType({"port": port, "hop_limit": STAYS_HERE})
        self._process = process

    def open(self) -> can.BusABC:
        """A bus to it, to be shut down by the caller (it is a context manager)."""
        return can.Bus(interface=self.interface, channel=self.channel, **self.options)

    def tell(self, **changes: Any) -> None:
        """Change what happened to the car or what goes wrong on its bus, by the names of `Happened` and `Switches`.

        Raises:
            NotTakenError: it cannot be so, or the virtual car has ended.
        """
        self._said({name: _json(value) for name, value in changes.items()})

    def close(self) -> None:
        """End it."""
        if self._process.stdin is not None and not self._process.stdin.closed:
            with suppress(OSError):  # where it has ended by itself
                self._process.stdin.close()
        try:
            self._process.wait(_ENDS_WITHIN_S)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait()
        if self._process.stdout is not None:
            self._process.stdout.close()

    def _said(self, line: Mapping[str, Any]) -> Mapping[str, str]:
        """Tell it a line; the pairs of ids that it answers with where it has just started."""
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        if self._process.stdin.closed:
            raise NotTakenError("the virtual car has ended")
        try:
            self._process.stdin.write(json.dumps(line) + "\n")
            self._process.stdin.flush()
            answer = self._process.stdout.readline()
        except OSError:
            answer = ""
        if not answer:
            raise NotTakenError("the virtual car has ended")
        said = json.loads(answer)
        if said["wrong"]:
            raise NotTakenError(said["wrong"])
        pairs: dict[str, str] = said["pairs"]
        return pairs

    def __enter__(self) -> "Handle":
        return self

    def __exit__(
        self, kind: type[BaseException] | None, value: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


def started(
    car_file: Path | None = None,
    *,
    before: Path | None = None,
    seed: int = 1,
    happened: Happened | None = None,
    switches: Switches | None = None,
    channel: str | None = None,
    port: int | None = None,
) -> Handle:
    """Start a virtual car in a process of its own.

    Args:
        car_file: None: the demo car.
        before: a list of the codes that it had before; None: the demo's, for the demo car, else none.
        channel, port: of the bus; None: some that are free.

    Raises:
        NotTakenError: it could not start; the text says why.
    """
    channel, port = channel or _channel(), port or free_port()
    process = subprocess.Popen(
        [sys.executable, "-m", "putback.adapters.virtual_car"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        encoding="utf-8",
    )
    handle = Handle(process, channel, port)
    try:
        pairs = handle._said(
            {
                "car": None if car_file is None else str(car_file),
                "before": None if before is None else str(before),
                "channel": channel,
                "port": port,
                "seed": seed,
                "happened": plain(happened or Happened()),
                "switches": plain(switches or Switches()),
            }
        )
    except NotTakenError:
        handle.close()
        raise
    handle.pairs = {name: pair for name, text in pairs.items() if isinstance(pair := read_pair(text), Pair)}
    return handle


def free_port() -> int:
    """A port that nobody uses now: frames of two cars on one port would reach both."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        probe.bind(("", 0))
        port: int = probe.getsockname()[1]
        return port


def _channel() -> str:
    """A group of the range that each organisation may use as it likes (RFC 2365)."""
    return f"239.255.{secrets.randbelow(256)}.{1 + secrets.randbelow(254)}"


def _json(value: Any) -> Any:
    return sorted(value) if isinstance(value, set | frozenset) else value
