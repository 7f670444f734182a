"""One idea: what calls itself a photo is decoded once, by a process with little time and memory, before it is kept.

The bytes are kept as they came: they are evidence. What they are is told by their beginning, never by who sent them.
"""

import json
import subprocess
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from threading import BoundedSemaphore
from types import MappingProxyType
from typing import Final

LARGEST_PHOTO: Final = 24 * 1024 * 1024
"""Bytes of one photo: some times what a phone's camera makes."""

MOST_PIXELS: Final = 64_000_000
LONGEST_SIDE: Final = 16_384
_SECONDS: Final = 20
_BYTES: Final = 1024**3

ENDINGS: Mapping[str, str] = MappingProxyType({"image/jpeg": "jpg", "image/png": "png", "image/webp": "webp"})
"""The kinds of photo that are kept, with the ending of a file of it."""

_MEND: Final = "set the camera to JPEG and take it again"
_AT_ONCE = BoundedSemaphore(2)


@dataclass(frozen=True, slots=True, kw_only=True)
class NotAPhoto:
    """Bytes that are not kept as a photo; `what` and `mend` say why."""

    what: str
    mend: str


def media_of(content: bytes) -> str | None:
    """The kind of photo by its first bytes; None: none that is kept.

    Source: ITU-T T.81 (SOI marker), RFC 9649 (WebP), W3C PNG, section 5.2.

    >>> media_of(bytes.fromhex("ffd8ffe0")), media_of(b"<svg/>")
    ('image/jpeg', None)
    """
    if content.startswith(b"\xff\xd8\xff"):
        return "image/jpeg"
    if content.startswith(b"\x89PNG\r\n\x1a\n"):
        return "image/png"
    return "image/webp" if content[:4] == b"RIFF" and content[8:12] == b"WEBP" else None


def wrong_with(content: bytes, *, seconds: float = _SECONDS, memory_bytes: int = _BYTES) -> NotAPhoto | None:
    """Why bytes are not kept as a photo; None: they are one, decoded to the end.

    Args:
        content: the bytes as they came.
        seconds: how long decoding may take.
        memory_bytes: how much memory the decoding process may have, where the system can limit it.
    """
    if len(content) > LARGEST_PHOTO:
        return NotAPhoto(what=f"is larger than {LARGEST_PHOTO // 1024**2} MiB", mend="take it with fewer pixels")
    media = media_of(content)
    if media is None:
        return NotAPhoto(what="is no JPEG, PNG or WebP", mend=_MEND)
    limits = [media, MOST_PIXELS, LONGEST_SIDE, memory_bytes, round(seconds) or 1]
    command = [sys.executable, "-I", str(Path(__file__).with_name("decode.py")), *map(str, limits)]
    with _AT_ONCE:
        try:
            done = subprocess.run(command, input=content, capture_output=True, timeout=seconds, check=False)
        except subprocess.TimeoutExpired:
            return NotAPhoto(what="takes too long to decode", mend=_MEND)
    if done.returncode != 0:
        return NotAPhoto(what="cannot be decoded within its limits", mend=_MEND)
    said = json.loads(done.stdout)
    return NotAPhoto(what=str(said["wrong"]), mend=_MEND) if "wrong" in said else None
