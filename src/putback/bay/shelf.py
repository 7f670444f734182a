"""One idea: a file that a record names stands on a shelf under its own digest, so it can only be that file.

What is written is on the disk before its digest is given out. Names come from digests, never from a person or a file.
"""

import os
import re
import tempfile
from hashlib import sha256
from pathlib import Path

from putback.adapters.stores import is_address

_DIGEST = re.compile(r"[0-9a-f]{64}")


class Shelf:
    """Files by SHA-256, in one folder.

    Args:
        folder: made when the first file is put there.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def put(self, content: bytes) -> str:
        """Keep a file; its digest (hex).

        Raises:
            OSError: the disk would not have it.
        """
        digest = sha256(content).hexdigest()
        place = self._folder / digest
        if self.get(digest) is None:
            self._folder.mkdir(parents=True, exist_ok=True)
            handle, name = tempfile.mkstemp(dir=self._folder)
            with os.fdopen(handle, "wb") as file:
                file.write(content)
                file.flush()
                os.fsync(file.fileno())
            Path(name).replace(place)
            _flush(self._folder)
        return digest

    def has(self, content: bytes) -> bool:
        """Whether this very file is there."""
        return self.get(sha256(content).hexdigest()) is not None

    def get(self, digest: str) -> bytes | None:
        """A file by its digest; None where it is not there or is no longer what it was."""
        if not _DIGEST.fullmatch(digest):
            return None
        try:
            content = (self._folder / digest).read_bytes()
        except FileNotFoundError:
            return None
        return content if sha256(content).hexdigest() == digest else None


def beside(store: str) -> Path:
    """The folder of files of a store: beside its file, or here where it is a database."""
    return Path("putback.files") if is_address(store) else Path(f"{store}.files")


def _flush(folder: Path) -> None:
    """Bring a folder's entries to the disk."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
