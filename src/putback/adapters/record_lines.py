"""One idea: a record can leave its store as lines of JSON, with every byte and hash that proves it.

One line for each event: `seq`, `id`, `received_at`, `hash` and the event's bytes, as text in `content` (or, where
they are no UTF-8, in `content_base64`). The first line's `job` is on every line.
"""

import json
from base64 import b64decode, b64encode
from binascii import Error
from collections.abc import Iterable, Mapping
from typing import Any

from putback.core.record import Link, NotCanonical, read_json

SUFFIX = ".jsonl"


class NotLines(ValueError):
    """A file that holds no record. `line` is where, `what` is wrong with it."""

    def __init__(self, line: int, what: str) -> None:
        super().__init__(f"line {line} {what}; take the file as it was attached to the job record")
        self.line = line
        self.what = what


def as_lines(links: Iterable[Link]) -> bytes:
    """Links as lines of JSON, in their order."""
    return b"".join(json.dumps(_line(link), ensure_ascii=False).encode() + b"\n" for link in links)


def _line(link: Link) -> dict[str, Any]:
    said: dict[str, Any] = {"job": link.job, "seq": link.seq, "id": link.id, "received_at": link.received_at}
    try:
        content = {"content": link.content.decode("utf-8")}
    except UnicodeDecodeError:
        content = {"content_base64": b64encode(link.content).decode("ascii")}
    return said | {"hash": link.hash} | content


def read_lines(content: bytes) -> tuple[Link, ...]:
    """Links from lines of JSON.

    Raises:
        NotLines: a line that is no event of a record, with its number.
    """
    return tuple(_read(at, line) for at, line in enumerate(content.split(b"\n"), start=1) if line.strip())


def _read(at: int, line: bytes) -> Link:
    try:
        raw = read_json(line)
    except NotCanonical as wrong:
        raise NotLines(at, wrong.what) from None
    if not isinstance(raw, Mapping):
        raise NotLines(at, "is no mapping")
    seq, texts = raw.get("seq"), {name: raw.get(name) for name in ("job", "id", "received_at", "hash")}
    if not isinstance(seq, int) or isinstance(seq, bool):
        raise NotLines(at, "has no number")
    for name, value in texts.items():
        if not isinstance(value, str):
            raise NotLines(at, f"has no {name}")
    return Link(seq=seq, content=_content(at, raw), **texts)  # type: ignore[arg-type]


def _content(at: int, raw: Mapping[str, Any]) -> bytes:
    text, coded = raw.get("content"), raw.get("content_base64")
    if isinstance(text, str):
        return text.encode("utf-8")
    try:
        return b64decode(str(coded), validate=True) if isinstance(coded, str) else _missing(at)
    except Error:
        raise NotLines(at, "holds bytes that cannot be read") from None


def _missing(at: int) -> bytes:
    raise NotLines(at, "has no content")
