"""One idea: a reader of binary logs runs in a process of its own, which may be stopped when it hangs or swells.

`python -m putback.adapters.frame_child FILE BYTES SECONDS` writes frames to standard output: a head of time, place and
length, then the bytes. The last record says how it ended.
"""

import logging
import struct
import sys
import warnings
from pathlib import Path
from typing import BinaryIO, Final

HEAD: Final = struct.Struct("<dQB")
"""Time in s, place, number of bytes."""

ENDED: Final = 0xFF
"""Instead of a number of bytes: the rest is text, which says what went wrong; nothing where nothing did."""


def send_frames(name: str, out: BinaryIO) -> str:
    """Write every frame of a log; what went wrong, empty where nothing did."""
    import can  # noqa: PLC0415 - only in the child

    from putback.adapters.frame_logs import row_of  # noqa: PLC0415 - the same

    try:
        with can.LogReader(name) as reader:
            for message in reader:
                row = row_of(message)
                if row is not None:
                    at_s, place, data = row
                    out.write(HEAD.pack(at_s, place, len(data)) + data)
            return _torn(name, getattr(reader, "file_size", 0))
    except MemoryError:
        return "it needs more memory than a log may"
    except ImportError as failure:
        return f"a library is missing ({failure.name or failure})"
    except Exception as failure:
        return f"{type(failure).__name__}: {failure}"[:300]


def _torn(name: str, stated: int) -> str:
    """Whether the file is shorter than its own head says: its reader ends there without a word."""
    size = Path(name).stat().st_size
    return f"it has {size:,} of the {stated:,} bytes that it states" if size < stated and name[-3:] != ".gz" else ""


def main(name: str, most_bytes: int, most_seconds: int) -> None:
    """Set the limits, then read."""
    import resource  # noqa: PLC0415 - where there are such limits

    logging.disable()
    warnings.simplefilter("ignore")
    resource.setrlimit(resource.RLIMIT_AS, (most_bytes, most_bytes))
    resource.setrlimit(resource.RLIMIT_CPU, (most_seconds, most_seconds + 1))
    said = send_frames(name, sys.stdout.buffer)
    sys.stdout.buffer.write(HEAD.pack(0.0, 0, ENDED) + said.encode("utf-8", "replace"))
    sys.stdout.buffer.flush()


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]), int(sys.argv[3]))
