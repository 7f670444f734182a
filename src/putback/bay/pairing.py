"""One idea: a phone is let in because a person at the workshop's own machine gave it a code, once, a moment ago.

The phone then holds a token; of that only the digest is kept here. A code ends by either of two clocks, so setting
one of them back makes no code live longer. After a few wrong codes nobody is let in for a while, and by no old code.
"""

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum
from hashlib import sha256
from hmac import compare_digest
from pathlib import Path
from threading import Lock
from typing import Any, Final

from putback.adapters.whole_file import write_whole
from putback.core.finding import Finding, Where

LETTERS: Final = "ACDEFHJKMNPRTWXY3479"
"""No two of these look alike: of 0 O, 1 I L, 2 Z, 5 S, 6 G, 8 B and Q, U, V none is used."""

CODE_LETTERS: Final = 6
TOKEN_BYTES: Final = 32
LONGEST_NAME: Final = 40
FORMAT: Final = "putback-paired/1"

CODE_MINUTES: Final = 10
MOST_WRONG: Final = 5
SHUT_MINUTES: Final = 10


class Way(StrEnum):
    """How a phone speaks to the server. What was paired on one way is a stranger on the other."""

    ENCRYPTED = "encrypted"
    PLAIN = "plain"


@dataclass(frozen=True, slots=True, kw_only=True)
class Code:
    """A code that lets one phone in, once."""

    text: str
    ends_at: datetime

    @property
    def spaced(self) -> str:
        """The code as it is shown: `ACD EFH`."""
        return f"{self.text[:3]} {self.text[3:]}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Device:
    """A paired phone. `seen_at`: when it last spoke here since the server was started.

    Without a digest of a token it is shut out, and stays in the list only until the disk has that.
    """

    id: str
    name: str
    way: Way
    paired_at: datetime
    token_sha256: str
    seen_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Paired:
    """A phone that was let in; the token is given out this once."""

    device: Device
    token: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NotPaired:
    """Why no phone was let in, or no code was made."""

    what: str
    mend: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """The owner's own figures: how long a code lives, and when pairing shuts and for how long."""

    code_minutes: float = CODE_MINUTES
    most_wrong: int = MOST_WRONG
    shut_minutes: float = SHUT_MINUTES


@dataclass(frozen=True, slots=True)
class _Live:
    code: Code
    made_at: datetime
    ends_s: float


class Pairing:
    """Codes, and the phones that were let in.

    Args:
        place: the file that keeps the phones.
        devices: those of the file.
        clock: the time now, with its offset.
        steady: seconds that nobody can set.
        random: so many bytes that nobody can guess.
        limits: the owner's own figures.
    """

    def __init__(
        self,
        *,
        place: Path,
        devices: Sequence[Device] = (),
        clock: Callable[[], datetime],
        steady: Callable[[], float],
        random: Callable[[int], bytes],
        limits: Limits | None = None,
    ) -> None:
        self._place, self._clock, self._steady, self._random = place, clock, steady, random
        self._limits = limits or Limits()
        self._devices = {one.id: one for one in devices}
        self._live: _Live | None = None
        self._wrong: list[float] = []
        self._shut_until_s: float | None = None
        self._lock = Lock()

    def new_code(self) -> Code | NotPaired:
        """A new code; the one before it is void."""
        with self._lock:
            self._live = None
            if shut := self._shut():
                return shut
            now, minutes = self._clock(), self._limits.code_minutes
            code = Code(text=letters_of(self._random), ends_at=now + timedelta(minutes=minutes))
            self._live = _Live(code=code, made_at=now, ends_s=self._steady() + 60 * minutes)
            return code

    def code(self) -> Code | None:
        """The code that would let a phone in now."""
        with self._lock:
            return None if self._shut() else self._code_now()

    def pair(self, *, code: str, name: str, way: Way) -> Paired | NotPaired:
        """Let a phone in by a code, which is used up by it.

        Raises:
            OSError: the disk would not have it; the phone is not let in, and the code may be tried again.
        """
        name = " ".join(name.split())
        if not name or len(name) > LONGEST_NAME or not name.isprintable():
            return NotPaired(what=f"the phone has no name of 1 to {LONGEST_NAME} letters", mend="name it")
        with self._lock:
            if shut := self._shut():
                return shut
            live = self._code_now()
            if live is None:
                return NotPaired(what="no code is live", mend="ask for a new one at the workshop's own machine")
            if not compare_digest(_plain(code).encode(), live.text.encode()):
                return self._count_wrong()
            token = self._random(TOKEN_BYTES).hex()
            device = Device(
                id=self._random(8).hex(), name=name, way=way, paired_at=self._clock(), token_sha256=_digest(token)
            )
            self._keep({**self._devices, device.id: device})
            self._devices[device.id] = device
            self._live = None
            return Paired(device=device, token=token)

    def known(self, token: str, *, way: Way) -> Device | None:
        """The phone that holds a token."""
        digest = _digest(token)
        with self._lock:
            found = [one for one in self._devices.values() if compare_digest(one.token_sha256, digest)]
            if not found or found[0].way is not way:
                return None
            seen = replace(found[0], seen_at=self._clock())
            self._devices[seen.id] = seen
            return seen

    def devices(self) -> tuple[Device, ...]:
        """The phones that are let in, the newest first."""
        with self._lock:
            return tuple(sorted(self._devices.values(), key=lambda one: one.paired_at, reverse=True))

    def unpair(self, id: str) -> bool:
        """Shut a phone out at once; whether it was there.

        Raises:
            OSError: it is shut out, but the disk would not have it: the next start would let it in again. It stays
                in the list until that is mended and it is un-paired again.
        """
        with self._lock:
            if id not in self._devices:
                return False
            self._devices[id] = replace(self._devices[id], token_sha256="")
            self._keep(self._devices)
            del self._devices[id]
            return True

    def _code_now(self) -> Code | None:
        """The live code; one that has ended by any clock, or whose clock was set back, is void for ever."""
        live, now = self._live, self._clock()
        if live is None:
            return None
        if self._steady() >= live.ends_s or not live.made_at <= now < live.code.ends_at:
            self._live = None
            return None
        return live.code

    def _shut(self) -> NotPaired | None:
        if self._shut_until_s is None or self._steady() >= self._shut_until_s:
            self._shut_until_s = None
            return None
        minutes = int((self._shut_until_s - self._steady()) // 60) + 1
        what = f"too many wrong codes were tried: pairing is shut for {minutes} more min"
        return NotPaired(what=what, mend="wait, then ask for a new code at the workshop's own machine")

    def _count_wrong(self) -> NotPaired:
        now_s, window_s = self._steady(), 60 * self._limits.shut_minutes
        self._wrong = [at for at in self._wrong if now_s - at < window_s] + [now_s]
        left = self._limits.most_wrong - len(self._wrong)
        if left > 0:
            return NotPaired(what="this is not the code", mend=f"read it again; {left} more wrong ones shut pairing")
        self._wrong, self._live = [], None
        self._shut_until_s = now_s + window_s
        return self._shut() or NotPaired(what="this is not the code", mend="ask for a new one")

    def _keep(self, devices: Mapping[str, Device]) -> None:
        lines = [
            {
                "id": one.id,
                "name": one.name,
                "way": str(one.way),
                "paired_at": one.paired_at.isoformat(timespec="seconds"),
                "token_sha256": one.token_sha256,
            }
            for one in devices.values()
            if one.token_sha256
        ]
        text = json.dumps({"format": FORMAT, "devices": lines}, ensure_ascii=False, indent=1)
        write_whole(self._place, f"{text}\n".encode())


def paired(place: Path) -> tuple[Device, ...] | Finding:
    """The phones that a file keeps; or what is wrong with it, and then nobody is let in.

    Raises:
        OSError: the file cannot be read.
    """
    if not place.exists():
        return ()
    try:
        raw = json.loads(place.read_bytes())
        if raw["format"] != FORMAT:
            return _finding(place, f"is no {FORMAT}", f"use the program that wrote it, {_ANEW}")
        devices = tuple(_device(one) for one in raw["devices"])
    except (ValueError, TypeError, KeyError, RecursionError):
        return _finding(place, "cannot be read", f"bring it back from a back-up, {_ANEW}")
    if len({one.id for one in devices}) < len(devices):
        return _finding(
            place, "names a phone twice", "bring it back from a back-up, or move it elsewhere and pair anew"
        )
    return devices


_ANEW: Final = "or move it elsewhere and pair anew"


def _device(raw: Mapping[str, Any]) -> Device:
    """One phone of the file.

    Raises:
        ValueError, TypeError, KeyError: it is none.
    """
    texts = {name: raw[name] for name in ("id", "name", "way", "paired_at", "token_sha256")}
    if not all(isinstance(one, str) for one in texts.values()):
        raise TypeError(raw)
    at = datetime.fromisoformat(texts["paired_at"])
    if at.tzinfo is None or len(bytes.fromhex(texts["token_sha256"])) != TOKEN_BYTES:
        raise ValueError(raw)
    return Device(
        id=texts["id"],
        name=texts["name"],
        way=Way(texts["way"]),
        paired_at=at,
        token_sha256=texts["token_sha256"],
    )


def _finding(place: Path, what: str, mend: str) -> Finding:
    return Finding(where=Where(file=str(place)), what=what, mend=f"{mend}; until then nobody is let in", rule="paired")


def letters_of(random: Callable[[int], bytes]) -> str:
    """The letters of a code, each as likely as any other: bytes beyond the last whole round are thrown away."""
    whole = 256 // len(LETTERS) * len(LETTERS)
    letters = ""
    while len(letters) < CODE_LETTERS:
        letters += "".join(LETTERS[one % len(LETTERS)] for one in random(CODE_LETTERS) if one < whole)
    return letters[:CODE_LETTERS]


def _plain(code: str) -> str:
    """A code as it was typed, without gaps and in capitals."""
    return "".join(one for one in code[: 4 * CODE_LETTERS].upper() if one not in " -\t")


def _digest(token: str) -> str:
    return sha256(token.encode("utf-8", "replace")).hexdigest()
