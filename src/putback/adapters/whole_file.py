"""One idea: a file that holds secrets is on the disk whole or not at all, and only its owner may read it."""

import os
import tempfile
from pathlib import Path


def write_whole(place: Path, content: bytes, *, once: bool = False) -> bool:
    """Bring a file to the disk in one step, with mode 0600.

    Args:
        place: in a folder that is there.
        content: all of it.
        once: write only where there is no file yet.

    Returns:
        Whether this very content is there now.

    Raises:
        OSError: the disk would not have it; what was there before is there still.
    """
    handle, name = tempfile.mkstemp(dir=place.parent)  # made with mode 0600
    temporary = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        if once:
            os.link(temporary, place)
        else:
            temporary.replace(place)
    except FileExistsError:
        return False
    finally:
        temporary.unlink(missing_ok=True)
    _flush(place.parent)
    return True


def _flush(folder: Path) -> None:
    """Bring a folder's entries to the disk."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
