"""One idea: bytes become clean text, or one finding that names the byte, the line and the mend.

Text is UTF-8, as YAML 1.2.2 section 5.2 recommends; the characters refused here are those that section 5.1 of the
same says a text must escape, and the three line separators on which YAML 1.1 and 1.2 disagree, because with them
no two programs count the same lines.
"""

import re
from pathlib import Path
from typing import Final

from putback.core.finding import Finding, Where

LARGEST_BYTES: Final = 8_000_000

_UNPRINTABLE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\ufffe\uffff]")
_OTHER_ENCODINGS: Final = (b"\xff\xfe", b"\xfe\xff", b"\x00\x00\xfe\xff")
_SAVE: Final = "open it in a text editor and save it as UTF-8"


def read_bytes(path: Path) -> bytes | Finding:
    """The bytes of a file, or why they cannot be had. A file above the largest size is refused unread."""
    name = str(path)
    try:
        if path.exists() and not path.is_file():
            return _whole(name, "is not a file", "name the car file itself, such as my.car.yaml", "file")
        size = path.stat().st_size
        if size > LARGEST_BYTES:
            return _too_large(name, size)
        return path.read_bytes()
    except (OSError, ValueError) as refusal:
        why = getattr(refusal, "strerror", None) or str(refusal)
        return _whole(name, f"cannot be opened ({why})", "check the name and the folder", "file")


def read_text(data: bytes, name: str) -> str | Finding:
    """The text of a car file, or what keeps it from being text."""
    if len(data) > LARGEST_BYTES:
        return _too_large(name, len(data))
    if data.startswith(_OTHER_ENCODINGS):
        return Finding(
            where=Where(file=name, line=1), what="the file is saved as UTF-16 or UTF-32", mend=_SAVE, rule="encoding"
        )
    try:
        text = data.decode("utf-8").removeprefix("\ufeff")
    except UnicodeDecodeError as refusal:
        what = f"byte {refusal.start} (0x{data[refusal.start]:02x}) is not UTF-8 text"
        line = _line_of(data[: refusal.start].decode("utf-8"))
        return Finding(where=Where(file=name, line=line), what=what, mend=_SAVE, rule="encoding")
    if not text.strip():
        return _whole(name, "the file is empty", "start from the file that `putback new` writes", "empty")
    return _first_unprintable(text, name) or text


def _first_unprintable(text: str, name: str) -> Finding | None:
    found = _UNPRINTABLE.search(text)
    if found is None:
        return None
    what = f"character U+{ord(found[0]):04X} cannot stand in a text"
    where = Where(file=name, line=_line_of(text[: found.start()]))
    return Finding(where=where, what=what, mend="delete it (it cannot be seen in most editors)", rule="character")


def _line_of(before: str) -> int:
    """The 1-based line on which this much text ends; CR LF counts once, as in YAML 1.2.2 section 5.4."""
    return 1 + len(re.findall(r"\r\n|\r|\n", before))


def _too_large(name: str, size: int) -> Finding:
    what = f"the file has {size:,} bytes, more than the {LARGEST_BYTES:,} that are read"
    return _whole(name, what, "check that it is a car file; one platform takes a few hundred thousand", "size")


def _whole(name: str, what: str, mend: str, rule: str) -> Finding:
    return Finding(where=Where(file=name), what=what, mend=mend, rule=rule)
