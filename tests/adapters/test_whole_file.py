"""A file that holds secrets is there whole or not at all, whatever fails half way, and its owner alone may read it."""

import os
import stat
import threading
from pathlib import Path

import pytest

from putback.adapters.whole_file import write_whole


def test_it_is_written_for_its_owner_alone(tmp_path: Path) -> None:
    place = tmp_path / "key.pem"
    before = os.umask(0)
    try:
        assert write_whole(place, b"one")
    finally:
        os.umask(before)
    assert place.read_bytes() == b"one"
    assert stat.S_IMODE(place.stat().st_mode) == 0o600
    assert write_whole(place, b"two")
    assert place.read_bytes() == b"two"


def test_what_is_written_once_is_never_written_over(tmp_path: Path) -> None:
    place = tmp_path / "key.pem"
    assert write_whole(place, b"one", once=True)
    assert not write_whole(place, b"two", once=True)
    assert place.read_bytes() == b"one"
    assert list(tmp_path.iterdir()) == [place]


def test_of_many_that_write_once_at_the_same_time_one_does(tmp_path: Path) -> None:
    place, ready = tmp_path / "key.pem", threading.Barrier(8)
    done: list[bytes] = []

    def run(content: bytes) -> None:
        ready.wait()
        if write_whole(place, content, once=True):
            done.append(content)

    threads = [threading.Thread(target=run, args=(bytes([65 + at]) * 5000,)) for at in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert done == [place.read_bytes()]


@pytest.mark.parametrize("failing", ["fsync", "replace"])
def test_a_disk_that_fails_leaves_what_was_there(
    tmp_path: Path, failing: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    place = tmp_path / "key.pem"
    write_whole(place, b"one")

    def refuse(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, failing, refuse)
    with pytest.raises(OSError, match="No space"):
        write_whole(place, b"two")
    assert place.read_bytes() == b"one"
    assert list(tmp_path.iterdir()) == [place], "and nothing beside it"
