"""One idea: where a terminal or a file cannot have a sign, it gets the one of ASCII that is most like it."""

import codecs
from collections.abc import Callable
from typing import IO, Any, Final

_LIKE: Final = str.maketrans("×·…–—─▸»○●≈“”’←→↑↓", 'x-~--->>o*~""\'<>^v')
"""A sign of ASCII that is most like another."""


def like_ascii(stream: IO[str]) -> None:
    """Where a stream cannot write a sign, it writes the one of ASCII that is most like it."""
    codecs.register_error("like-ascii", _like)
    change: Callable[..., Any] | None = getattr(stream, "reconfigure", None)
    if change is not None:
        change(errors="like-ascii")


def _like(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    signs = error.object[error.start : error.end].translate(_LIKE)
    return signs.encode("ascii", "replace").decode("ascii"), error.end
