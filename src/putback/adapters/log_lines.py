"""One idea: a text of any size is gone through in blocks of whole lines; a packed one only so far."""

import gzip
from collections.abc import Iterator
from pathlib import Path
from typing import IO, Final, cast

LONGEST_LINE: Final = 10_000
BLOCK: Final = 1 << 20
_MARKS: Final = ((b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"), (b"\xef\xbb\xbf", "utf-8-sig"))


class TooMuch(Exception):
    """A packed text is larger than may be read."""


def open_text(path: Path) -> IO[str]:
    """A text, packed or not. Bytes beyond ASCII do no harm; UTF-16 is known by its mark."""
    packed = path.suffix.lower() == ".gz"
    with gzip.open(path) if packed else path.open("rb") as file:
        first = file.read(4)
    encoding = next((name for mark, name in _MARKS if first.startswith(mark)), "latin-1")
    if packed:
        return cast("IO[str]", gzip.open(path, "rt", encoding=encoding, errors="replace"))
    return path.open(encoding=encoding, errors="replace")


def blocks(file: IO[str], *, most: int) -> Iterator[str]:
    """Blocks that end with whole lines; a line longer than a block comes in pieces.

    Args:
        file: an open text.
        most: raise `TooMuch` after so many characters.
    """
    rest, count = "", 0
    while block := file.read(BLOCK):
        count += len(block)
        if count > most:
            raise TooMuch
        whole, line_end, tail = block.rpartition("\n")
        if line_end:
            yield rest + whole + line_end
            rest = tail
        elif len(rest) > LONGEST_LINE:
            rest = rest[:LONGEST_LINE] + block[:1]
        else:
            rest += block
    if rest:
        yield rest
