"""One idea: keys come from a terminal one at a time, or from a pipe one on each line, so that a script can press them.

A terminal is given back as it was found, whatever happens.
"""

import codecs
import os
import re
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final, Protocol, TextIO

import click
from rich.console import Console

from putback.faces.keyboard import ENTER, TAB

_NAMED: Final = {
    "\r": ENTER,
    "\n": ENTER,
    "": ENTER,
    "\t": TAB,
    "\x1b[A": "k",
    "\x1b[B": "j",
    "\x1b[C": "l",
    "\x1b[D": "h",
    "\x1bOA": "k",
    "\x1bOB": "j",
    "\x1bOC": "l",
    "\x1bOD": "h",
}
"""Keys with another name; an arrow is the key that does the same."""
_ONE_KEY: Final = re.compile(r"\x1b(?:\[[0-9;]*[A-Za-z~]|O.)|.", re.DOTALL)
_INTERRUPT, _END = "\x03", "\x04"


class Keys(Protocol):
    """Where keys and words come from. Both raise EOFError where nothing more comes."""

    def key(self) -> str:
        """The next key."""
        ...

    def words(self, ask: str, now: str = "") -> str:
        """One line of words; `now` is what stands there and may be changed."""
        ...


class PipedKeys:
    """A key on each line; a line of words where words are asked for."""

    def __init__(self, lines: TextIO) -> None:
        self._lines = lines

    def key(self) -> str:
        """The next line, which is a key."""
        return _named(_line_of(self._lines).strip())

    def words(self, ask: str, now: str = "") -> str:  # noqa: ARG002 - nobody reads the question in a pipe
        """The next line."""
        return _line_of(self._lines).strip()


class TerminalKeys:
    """Keys as they are pressed. What is pressed ahead is kept and comes in its turn."""

    def __init__(self, out: Console) -> None:
        self._out = out
        self._ahead: list[str] = []
        self._decoder = codecs.getincrementaldecoder("utf-8")("replace")

    def key(self) -> str:
        """The next key; waits for it."""
        while not self._ahead:
            self._ahead = _ONE_KEY.findall(self._pressed())
        pressed = self._ahead.pop(0)
        if pressed == _INTERRUPT:
            raise KeyboardInterrupt
        if pressed == _END:
            raise EOFError
        return _named(pressed)

    def _pressed(self) -> str:
        if sys.platform == "win32":
            return click.getchar()
        with _each_key():
            data = os.read(sys.stdin.fileno(), 1024)
        if not data:
            raise EOFError
        return self._decoder.decode(data)

    def words(self, ask: str, now: str = "") -> str:
        """One line, typed and ended with Enter."""
        self._ahead = []
        if not sys.stdout.isatty():
            self._out.print(f"{ask}: ", end="", markup=False)
            return _line_of(sys.stdin).strip()
        with _standing(now):
            return input(f"{ask}: ").strip()


def keys_from(out: Console) -> Keys:
    """The keys of the terminal; of the pipe where standard input is none."""
    return TerminalKeys(out) if sys.stdin.isatty() else PipedKeys(sys.stdin)


def _named(pressed: str) -> str:
    return _NAMED.get(pressed, pressed)


def _line_of(lines: TextIO) -> str:
    line = lines.readline()
    if not line:
        raise EOFError
    return line


@contextmanager
def _each_key() -> Iterator[None]:
    """The terminal gives each key at once and shows none; keys that were pressed before stay."""
    import termios  # noqa: PLC0415 - only where there are such terminals
    import tty  # noqa: PLC0415 - the same

    place = sys.stdin.fileno()
    was = termios.tcgetattr(place)
    try:
        tty.setcbreak(place, termios.TCSADRAIN)
        yield
    finally:
        termios.tcsetattr(place, termios.TCSADRAIN, was)


@contextmanager
def _standing(now: str) -> Iterator[None]:
    """What stands there is put into the line that is typed, where the terminal can edit lines."""
    try:
        import readline  # noqa: PLC0415 - some systems have none
    except ImportError:
        yield
        return
    readline.set_startup_hook(lambda: readline.insert_text(now))
    try:
        yield
    finally:
        readline.set_startup_hook(None)
