"""One idea: the process that is killed: it appends, and says what was acknowledged as soon as it knows.

    python -m benchmarks.append.worker STORE JOB FIRST

Event n is the same whenever it is made, so that what was sent before a kill is sent again. One line is printed for
each acknowledgement: id, number, hash.
"""

import os
import sys
import time
from collections.abc import Iterator

from putback.adapters.stores import StoreFailed, open_store
from putback.core.record import Ack, Event, Json

AGAIN = 20


def event(job: str, n: int) -> Event:
    """Event n of a job; its size varies."""
    body: dict[str, Json] = {
        "verb": "undo",
        "joint": f"j{n % 100:02}",
        "count": n % 7 + 1,
        "note": "x" * (n * 37 % 400 + 1),
    }
    return Event(
        id=f"{job}-{n}",
        job=job,
        device="tablet",
        at=f"2026-03-02T{n // 3600 % 24:02}:{n // 60 % 60:02}:{n % 60:02}+01:00",
        person="p1",
        kind="operation done",
        body=body,
    )


def received_at() -> str:
    """This machine's clock, UTC."""
    return time.strftime("%Y-%m-%dT%H:%M:%SZ", time.gmtime())


def batches(first: int) -> Iterator[range]:
    """Numbers to send together: one, two, three, one ..., beginning with some that were sent before."""
    n = max(1, first - AGAIN)
    while True:
        size = n % 3 + 1
        yield range(n, n + size)
        n += size


def main() -> None:
    """Append until killed, or until the store fails."""
    store_name, job, first = sys.argv[1], sys.argv[2], int(sys.argv[3])
    try:
        store = open_store(store_name, create=True)
        os.write(1, b"ready\n")
        for batch in batches(first):
            answers = store.append([event(job, n) for n in batch], received_at=received_at())
            lines = [f"{one.id} {one.seq} {one.hash}\n" for one in answers if isinstance(one, Ack)]
            if len(lines) < len(batch):
                raise AssertionError(answers)
            os.write(1, "".join(lines).encode())
    except StoreFailed as failure:
        os.write(2, f"{failure}\n".encode())
        raise SystemExit(3) from None


if __name__ == "__main__":
    main()
