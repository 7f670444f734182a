"""Bytes of any origin as text: encodings by their marks and forms, hidden characters, sizes."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.adapters.pasted_codes import PastedText, read_pasted, text_of
from putback.core.codes.lists.pasted import guess
from putback.core.finding import Finding

TEXT = "Moteur à gauche\nP0123-1F mémorisé\n"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "utf-32", "cp1252"])
def test_encodings(encoding: str) -> None:
    found = text_of(TEXT.encode(encoding), "pasted")
    assert isinstance(found, PastedText)
    assert found.text == TEXT
    assert bool(found.notes) == (encoding in ("utf-16-le", "utf-16-be", "cp1252"))
    assert [one.status for one in guess(found.text).codes] == ["08 of 08"]


def test_hidden_characters_become_spaces_and_are_counted() -> None:
    found = text_of("Engine\x00\nP0123\u200b\u00a0stored".encode(), "pasted")
    assert isinstance(found, PastedText)
    assert found.text == "Engine \nP0123  stored"
    assert "2 characters that cannot be seen" in found.notes[0].what


@pytest.mark.parametrize("data", [b"", b" \r\n\t", b"\x00" * 100, b"\xef\xbb\xbf"])
def test_no_text_is_a_finding(data: bytes) -> None:
    assert isinstance(text_of(data, "pasted"), Finding)


@given(st.binary(max_size=200))
def test_no_bytes_raise(data: bytes) -> None:
    found = text_of(data, "pasted")
    if isinstance(found, PastedText):
        guess(found.text)


def test_files(tmp_path: Path) -> None:
    large = tmp_path / "large.txt"
    with large.open("wb") as file:
        file.truncate(50_000_000)
    for path, what in ((large, "more than 8,000,000 bytes"), (tmp_path, "not a file"), (tmp_path / "no", "opened")):
        found = read_pasted(path)
        assert isinstance(found, Finding)
        assert what in found.what
