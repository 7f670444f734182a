"""One idea: kill -9 at any moment, many times, loses nothing that was acknowledged and doubles nothing.

Each round starts a process that appends, and kills it at a random moment: while it opens the store, writes, or waits
for the disk. With a server, every second round kills the server and all its processes as well. The next round sends
again what was not acknowledged. At the end every acknowledged event must stand once, at its number, with its hash.

A killed process leaves the system's own caches alive; pulling the plug is not tested by this.
"""

import random
import subprocess
import sys
import time
from dataclasses import dataclass

from benchmarks.append.server import Server
from putback.adapters.stores import StoreFailed, open_store
from putback.adapters.stores.check import check_job


@dataclass(frozen=True, slots=True, kw_only=True)
class Killed:
    """What the rounds came to; `lost`, `doubled` and `faults` must be 0. `server_kills` counts rounds, not pids."""

    rounds: int
    server_kills: int
    acknowledged: int
    stored: int
    lost: int
    doubled: int
    faults: int
    seconds: float


def kill_rounds(store: str, *, rounds: int, seed: int, server: Server | None = None) -> Killed:
    """Kill an appending process (and its server) again and again, then count.

    Args:
        store: the store's name; it is made in the first round.
        rounds: how often to kill.
        seed: of the random moments.
        server: killed as well every second round.
    """
    rng, job = random.Random(seed), f"killed-{seed}"
    acknowledged: dict[str, tuple[int, str]] = {}
    moved = 0
    started = time.perf_counter()
    for n in range(rounds):
        first = 1 + max((int(id.rpartition("-")[2]) for id in acknowledged), default=0)
        server_too = server is not None and n % 2 == 1
        for id, seq, hash in _round(store, job, first, rng, server if server_too else None):
            moved += acknowledged.setdefault(id, (seq, hash)) != (seq, hash)
    return _counted(
        store, job, acknowledged, moved, rounds, rounds // 2 if server else 0, time.perf_counter() - started
    )


def _round(store: str, job: str, first: int, rng: random.Random, server: Server | None) -> list[tuple[str, int, str]]:
    """One process, killed; what it acknowledged in whole lines."""
    command = [sys.executable, "-m", "benchmarks.append.worker", store, job, str(first)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        assert process.stdout is not None
        early = rng.random() < 0.2
        begun = b"" if early else process.stdout.readline()
        time.sleep(rng.uniform(0, 0.3) if early else rng.expovariate(25))
        if server is not None:
            server.kill()
        process.kill()
        printed = begun + process.stdout.read()
    if server is not None:
        server.start()
    lines = printed[: printed.rfind(b"\n") + 1].decode().splitlines()
    acks = [line.split() for line in lines if line != "ready"]
    return [(id, int(seq), hash) for id, seq, hash in acks]


def _counted(
    store: str, job: str, acknowledged: dict[str, tuple[int, str]], moved: int, rounds: int, kills: int, seconds: float
) -> Killed:
    for left in reversed(range(10)):
        try:
            opened = open_store(store, read_only=True)
        except StoreFailed:
            if not left:
                raise
            time.sleep(0.5)
        else:
            break
    with opened:
        links = opened.read(job)
        faults = check_job(opened, job).faults
    stored = {link.id: (link.seq, link.hash) for link in links}
    lost = sum(stored.get(id) != place for id, place in acknowledged.items())
    return Killed(
        rounds=rounds,
        server_kills=kills,
        acknowledged=len(acknowledged),
        stored=len(links),
        lost=lost + moved,
        doubled=len(links) - len(stored),
        faults=len(faults),
        seconds=seconds,
    )
