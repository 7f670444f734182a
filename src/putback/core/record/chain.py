"""One idea: each event is hashed together with the hash before it, so nothing behind the last hash can change unseen.

The link of event n is the SHA-256 of four lines of UTF-8 without an end of line after the last:

    hash before it, as 64 hex digits (of event 1: the SHA-256 of "putback record/1 " and the job's id)
    n
    the server's time of receipt, as written
    the event's one spelling (RFC 8785; it has no end of line in it)

so that any program with SHA-256 can check a record. Whoever can write to the store can also write a whole new
chain; that is found only against a head, the last number and hash, kept elsewhere.
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from hashlib import sha256

_HASH = re.compile(r"[0-9a-f]{64}")
_HEAD = re.compile(r"(?:(\d{1,15}):)?([0-9a-f]{64})")


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """One event as a store keeps it: its place, when the server received it, its bytes and its hash (hex).

    `id` is the event's own id, kept beside its bytes so that a store can find it; `seq` counts from 1 in each job.
    """

    job: str
    seq: int
    id: str
    received_at: str
    content: bytes
    hash: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """Where a record ends, or ended: the number of its last event and that event's hash (hex). 0: nothing yet."""

    seq: int
    hash: str

    def __str__(self) -> str:
        """The head as it is kept and given to a check: number, colon, 64 hex digits."""
        return f"{self.seq}:{self.hash}"

    def on_paper(self) -> str:
        """The head for print: the same digits in groups of four.

        >>> Head(seq=41, hash="0123456789abcdef" * 4).on_paper()[:24]
        '41: 0123 4567 89ab cdef '
        """
        return f"{self.seq}: {' '.join(re.findall('.{4}', self.hash))}"


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptHead:
    """A head that was kept elsewhere; the number may have been left out."""

    seq: int | None
    hash: str


class NotAHead(ValueError):
    """A text that is no head. `mend` says what to write."""

    def __init__(self, text: str) -> None:
        self.mend = "write the number, a colon and 64 hex digits as they were printed; blanks do not matter"
        super().__init__(f"{text!r:.90} is no head; {self.mend}")


def read_head(text: str) -> KeptHead:
    """Read a head as it was kept or printed: `41:9f2c…`, `41: 9f2c …`, or the digits alone.

    Raises:
        NotAHead: not 64 hex digits, or more than a number before them.
    """
    match = _HEAD.fullmatch(re.sub(r"\s", "", text).lower())
    if match is None:
        raise NotAHead(text)
    number, digits = match.groups()
    return KeptHead(seq=None if number is None else int(number), hash=digits)


def genesis(job: str) -> Head:
    """The head of a job's record before its first event."""
    return Head(seq=0, hash=sha256(f"putback record/1 {job}".encode()).hexdigest())


def link_hash(*, before: str, seq: int, received_at: str, content: bytes) -> str:
    """The hash of one link (hex); the module says of what.

    Source: SHA-256, FIPS 180-4, by hashlib.
    """
    return sha256(f"{before}\n{seq}\n{received_at}\n".encode() + content).hexdigest()


def hash_after(before: str, link: Link) -> str:
    """The hash that a stored event must have if `before` is the hash before it."""
    return link_hash(before=before, seq=link.seq, received_at=link.received_at, content=link.content)


def follows(head: Head, links: Sequence[Link]) -> bool:
    """Whether links go on from a head without a break."""
    for link in links:
        if link.seq != head.seq + 1 or link.hash != hash_after(head.hash, link):
            return False
        head = Head(seq=link.seq, hash=link.hash)
    return True


def head_of(job: str, links: Iterable[Link]) -> Head:
    """The head that stored links say they have: that of the last one."""
    head = genesis(job)
    for link in links:
        head = Head(seq=link.seq, hash=link.hash)
    return head
