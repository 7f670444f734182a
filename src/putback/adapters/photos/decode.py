"""One idea: this runs as a process of its own, decodes what it is sent to the end, and says what is wrong with it."""

import json
import sys
from contextlib import suppress
from io import BytesIO

from PIL import Image

_FORMATS = {"image/jpeg": "JPEG", "image/png": "PNG", "image/webp": "WEBP"}


def wrong(content: bytes, *, media: str, most_pixels: int, longest_side: int) -> str | None:
    """What is wrong with a photo; None: it was decoded to the end."""
    Image.MAX_IMAGE_PIXELS = None  # held below, before anything is decoded
    try:
        with Image.open(BytesIO(content), formats=[_FORMATS[media]]) as image:
            width, height = image.size
            if max(width, height) > longest_side or width * height > most_pixels:
                return f"is {width} x {height} pixels, more than {most_pixels // 10**6} million"
            image.load()
    except (OSError, ValueError, SyntaxError, MemoryError, OverflowError, EOFError) as broken:
        return f"cannot be decoded: {type(broken).__name__.lower()}: {str(broken)[:100]}"
    return None


def _hold(memory_bytes: int, seconds: int) -> None:
    """Take no more memory and time than this; a system without such limits leaves it to who waits."""
    with suppress(ImportError, ValueError, OSError):
        import resource  # noqa: PLC0415 - not every system has it

        resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
        resource.setrlimit(resource.RLIMIT_AS, (memory_bytes, memory_bytes))


def main() -> None:
    """Decode what comes in; one line of JSON goes out."""
    media, most_pixels, longest_side, memory_bytes, seconds = sys.argv[1:]
    _hold(int(memory_bytes), int(seconds))
    content = sys.stdin.buffer.read()
    found = wrong(content, media=media, most_pixels=int(most_pixels), longest_side=int(longest_side))
    sys.stdout.write(json.dumps({} if found is None else {"wrong": found}) + "\n")


if __name__ == "__main__":
    main()
