"""One idea: half an import or half a picture of a problem cannot be taken up again, so Ctrl-C waits until it is whole.

A search is stopped where it stands; what stands around it is short and is finished first.
"""

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def held_back() -> Iterator[threading.Event]:
    """Hold Ctrl-C back while the block runs; what is yielded tells whether it was pressed.

    Only where it would raise KeyboardInterrupt here at all: in the main thread, with Python's own handler.
    """
    pressed = threading.Event()
    main = threading.current_thread() is threading.main_thread()
    if not main or signal.getsignal(signal.SIGINT) is not signal.default_int_handler:
        yield pressed
        return
    signal.signal(signal.SIGINT, lambda *_: pressed.set())
    try:
        yield pressed
    finally:
        signal.signal(signal.SIGINT, signal.default_int_handler)


@contextmanager
def unbroken() -> Iterator[None]:
    """Hold Ctrl-C back while the block runs, and let it through at its end.

    Raises:
        KeyboardInterrupt: at the end, if Ctrl-C was pressed meanwhile.
    """
    with held_back() as pressed:
        yield
    if pressed.is_set():
        raise KeyboardInterrupt
