"""One idea: a long log of frames is put together faster than it was recorded, and faster than by the usual way.

`python -m benchmarks.codes_log` prints a markdown table: reading a log and putting its messages together by our way,
beside python-can's reader with can-isotp in the same run. `--storm N` puts N broken frames through instead.
"""

import random
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from time import perf_counter

import can
import isotp

from putback.adapters.frame_logs import read_frame_log
from putback.core.codes.talk.frames import Message, Reassembler, place_of
from putback.core.codes.talk.replay import Replay

FRAMES = 400_000
REFERENCE_FRAMES = 40_000


def message_frames(rng: random.Random, length: int) -> list[bytes]:
    """A message of so many bytes as frames of eight (ISO 15765-2)."""
    if length < 8:
        return [bytes([length]) + rng.randbytes(7)]
    first = bytes([0x10 | length >> 8, length & 0xFF]) + rng.randbytes(6)
    return [first, *(bytes([0x20 | n & 0xF]) + rng.randbytes(7) for n in range(1, 1 + (length - 6 + 6) // 7))]


def answers_alone(count: int) -> list[tuple[int, bytes]]:
    """Eight modules that send lists of codes at the same time: nothing but messages of many frames."""
    rng = random.Random(1)
    found: list[tuple[int, bytes]] = []
    while len(found) < count:
        waiting = {0x7E8 + n: message_frames(rng, rng.randrange(20, 400)) for n in range(8)}
        while waiting:
            for id in list(waiting):
                found.append((id, waiting[id].pop(0)))
                if not waiting[id]:
                    del waiting[id]
    return found[:count]


def among_traffic(count: int) -> list[tuple[int, bytes]]:
    """One frame in ten belongs to an answer; the others are the car's ordinary traffic: any bytes."""
    rng, answers = random.Random(2), iter(answers_alone(count // 10 + 1))
    return [next(answers) if n % 10 == 0 else (rng.randrange(0x100, 0x6F0), rng.randbytes(8)) for n in range(count)]


def write_log(path: Path, frames: list[tuple[int, bytes]]) -> Path:
    with path.open("w") as file:
        for n, (id, data) in enumerate(frames):
            file.write(f"({1_780_000_000 + n * 0.0005:.6f}) can0 {id:03X}#{data.hex().upper()}\n")
    return path


def ours(path: Path) -> tuple[int, int]:
    """Frames, and whole messages of the eight modules."""
    parts, whole = Reassembler(), 0
    modules = {place_of(0x7E8 + n) for n in range(8)}

    def take(rows: list[tuple[float, int, bytes]]) -> None:
        nonlocal whole
        items = parts.take_all(rows)
        whole += sum(isinstance(one, Message) and one.why is None and one.place in modules for one in items)

    return read_frame_log(path, take).frames, whole


def with_codes(path: Path) -> tuple[int, int]:
    """Frames, and reads of the car: everything that an import does."""
    replay = Replay(stage="before")
    frames = read_frame_log(path, replay.take_all).frames
    return frames, len(replay.end().reads)


def usual(path: Path) -> tuple[int, int]:
    """python-can reads, one can-isotp stack for each module puts together."""
    waiting: dict[int, list[isotp.CanMessage]] = {0x7E8 + n: [] for n in range(8)}
    stacks = {
        id: isotp.TransportLayerLogic(
            rxfn=lambda _, pile=pile: pile.pop() if pile else None,  # type: ignore[misc]  # the pile is bound here
            txfn=lambda _: None,
            address=isotp.Address(isotp.AddressingMode.Normal_11bits, rxid=id, txid=id - 8),
            params={"listen_mode": True},
        )
        for id, pile in waiting.items()
    }
    frames = whole = 0
    with can.LogReader(path) as log:
        for message in log:
            frames += 1
            id = message.arbitration_id
            if id in stacks:
                waiting[id].append(isotp.CanMessage(arbitration_id=id, data=bytes(message.data)))
                stacks[id].process()
                while stacks[id].recv() is not None:
                    whole += 1
    return frames, whole


def measured(run: Callable[[Path], tuple[int, int]], path: Path) -> tuple[float, int]:
    """Frames in a second, the best of three, and what came."""
    best, came = 0.0, 0
    for _ in range(3):
        begun = perf_counter()
        frames, came = run(path)
        best = max(best, frames / (perf_counter() - begun))
    return best, came


def storm(count: int) -> None:
    """Broken frames through the part that puts together and the part that reads codes; the seed is the tests'."""
    sys.path.insert(0, str(Path(__file__).parent.parent / "tests"))
    from core.codes.storm import Storm  # noqa: PLC0415 - a part of the tests

    made, frames, taken = Storm(20261126), 0, 0.0
    while frames < count:
        batch = made.batch()
        begun = perf_counter()
        replay = Replay(stage="before")
        replay.take_all(batch.rows)
        replay.end()
        taken += perf_counter() - begun
        frames += len(batch.rows)
    print(f"{frames:,} broken frames in {taken:.1f} s: {frames / taken:,.0f} in a second, nothing raised")


def main() -> None:
    """Print the table."""
    if sys.argv[1:2] == ["--storm"]:
        storm(int(sys.argv[2]))
        return
    print("| log | frames | ours, frames/s | with the codes | python-can and can-isotp, frames/s | ratio |")
    print("|---|---|---|---|---|---|")
    with tempfile.TemporaryDirectory() as folder:
        for name, make in (("answers alone", answers_alone), ("one in ten an answer", among_traffic)):
            path = write_log(Path(folder) / "long.log", make(FRAMES))
            short = write_log(Path(folder) / "short.log", make(REFERENCE_FRAMES))
            fast, _ = measured(ours, path)
            codes, _ = measured(with_codes, path)
            slow, whole = measured(usual, short)
            assert whole == ours(short)[1], "the two do not agree"
            print(
                f"| {name} | {FRAMES:,} | {fast:,.0f} | {codes:,.0f} | {slow:,.0f} | {fast / slow:.0f} × |", flush=True
            )


if __name__ == "__main__":
    main()
