"""`merge` in a terminal: one question at a time, what was typed counts, Enter leaves it open. Invented lines."""

import os
import pty
import select
import subprocess
import sys
import time
from pathlib import Path

import pytest

from putback.adapters.car_file import read_car

TEXT = """\
putback: procedure/1
car: Invented 1
high_voltage: false
operations:
  - {n: 1, verb: remove, object: cover}
  - {n: 2, verb: part, object: hose}
  - {n: 3, verb: remove, object: fan}
  - {n: 4, verb: fit, object: fan, twin: 3}
  - {n: 5, verb: join, object: hose, twin: 2}
  - {n: 6, verb: fit, object: cover, twin: 1}
"""
PATIENCE_S = 60.0


class Terminal:
    """`putback merge` behind a terminal of its own."""

    def __init__(self, *words: str) -> None:
        self._side, child = pty.openpty()
        self._process = subprocess.Popen(
            [sys.executable, "-c", "from putback.faces.cli.main import main; main()", "merge", *words],
            stdin=child,
            stdout=child,
            stderr=child,
            env={**os.environ, "TERM": "dumb"},
        )
        os.close(child)
        self.seen = ""

    def until(self, words: str, *, after: int = 0) -> None:
        """Read until these words stand there."""
        ends = time.monotonic() + PATIENCE_S
        while words not in self.seen[after:]:
            assert time.monotonic() < ends, self.seen
            self._read()

    def type(self, words: str) -> int:
        """Type a line; how much had been seen before."""
        seen = len(self.seen)
        os.write(self._side, f"{words}\n".encode())
        return seen

    def leave(self) -> None:
        """Ctrl-D at an empty line."""
        os.write(self._side, b"\x04")

    def end(self) -> int:
        """Read to the end; the exit code."""
        ends = time.monotonic() + PATIENCE_S
        while self._read():
            assert time.monotonic() < ends, self.seen
        os.close(self._side)
        return self._process.wait(PATIENCE_S)

    def _read(self) -> bool:
        if not select.select([self._side], [], [], 0.5)[0]:
            return self._process.poll() is None
        try:
            found = os.read(self._side, 65536)
        except OSError:
            return False
        self.seen += found.decode()
        return bool(found)


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """One recording, nothing marked."""
    place = tmp_path / "one.procedure.yaml"
    place.write_text(TEXT, encoding="utf-8")
    return place


def links(place: Path) -> dict[str, str]:
    """What the fan needs off, with where each link comes from."""
    car = read_car(place).car
    assert car is not None
    return {link.item: str(link.origin) for link in car.items["fan"].needs_off}


def test_what_is_ticked_is_confirmed_and_the_rest_is_not_needed(file: Path, tmp_path: Path) -> None:
    """A number that is none of the list is asked again."""
    place = tmp_path / "car.yaml"
    here = Terminal(str(file), "--for", "fan", "--to", str(place))
    here.until("must be off:")
    assert "Question 1, of 3 at most: which of these must be off before fan?" in here.seen
    number = "1" if "1  hose" in here.seen else "2"
    here.until("must be off:", after=here.type("7"))
    assert "7 is none of the numbers" in here.seen
    here.type(number)
    assert here.end() == 0, here.seen
    assert "hose must be off before fan; not needed: cover." in here.seen
    assert links(place) == {"hose": "confirmed"}


def test_enter_leaves_it_open(file: Path, tmp_path: Path) -> None:
    """Both stay as they were seen."""
    place = tmp_path / "car.yaml"
    here = Terminal(str(file), "--for", "fan", "--to", str(place))
    here.until("must be off:")
    here.type("")
    assert here.end() == 0, here.seen
    assert set(links(place).values()) == {"seen"}


def test_going_away_writes_nothing(file: Path, tmp_path: Path) -> None:
    """The end of what is typed (Ctrl-D) is no answer."""
    place = tmp_path / "car.yaml"
    here = Terminal(str(file), "--for", "fan", "--to", str(place))
    here.until("must be off:")
    here.leave()
    assert here.end() == 130, here.seen
    assert not place.exists()
