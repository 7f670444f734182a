"""One idea: frames that are broken in every way we can think of, by a generator that knows what it broke.

All of it is invented. Modules answer requests for codes, mixed with one another; half of the answers are broken. What
was stated and sent in full is known for each id, so that a message or a list that only looks whole is caught.
"""

import random
from collections.abc import Callable
from dataclasses import dataclass, field

from putback.core.codes.talk.askers import PARTNERS
from putback.core.codes.talk.frames import place_of

MODULES = [
    *list(PARTNERS.items())[:8],
    *((place_of(0x18DA00F1 | n << 8, extended=True), place_of(0x18DAF100 | n, extended=True)) for n in range(1, 7)),
]
"""Eight modules with short ids and six with long ones: how each is asked and answers."""

NOISE = [place_of(id) for id in (0x100, 0x1FF, 0x3A0, 0x5FE)]
Frames = list[bytes]


@dataclass(slots=True)
class Batch:
    """Some frames; by answering id the messages that were stated and sent in full, and the lists that are whole."""

    rows: list[tuple[float, int, bytes]] = field(default_factory=list)
    sent: dict[int, set[bytes]] = field(default_factory=dict)
    lists: dict[int, set[bytes]] = field(default_factory=dict)


def frames_of(payload: bytes, stated: int, padding: bytes) -> Frames:
    """A message as frames of eight bytes, with the length that it states (ISO 15765-2)."""
    if len(payload) < 8 and stated < 8:
        return [bytes([stated]) + payload + padding * (7 - len(payload))]
    rest = [payload[place : place + 7] for place in range(6, len(payload), 7)]
    first = bytes([0x10 | stated >> 8 & 0xF, stated & 0xFF]) + payload[:6] + padding * (6 - len(payload))
    return [first, *(bytes([0x20 | n & 0xF]) + one + padding * (7 - len(one)) for n, one in enumerate(rest, start=1))]


class Storm:
    """Makes batches of frames, all from one seed."""

    def __init__(self, seed: int) -> None:
        self.rng = random.Random(seed)
        self.breaks: list[Callable[[Frames], Frames]] = [
            self.lost, self.first_lost, self.tail_lost, self.swapped, self.shortened, self.renumbered,
            self.restarted, self.overtaken, self.huge, self.changed_kind, self.sixteen_lost,
        ]  # fmt: skip
        self.number = 0

    def payload(self) -> tuple[bytes, bool]:
        """An answer with codes, and whether its list is whole as it stands."""
        rng, count = self.rng, self.rng.choice((0, 1, 1, 2, 3, 5, 9, 20, 60))
        self.number += 1
        records = b"".join(bytes([rng.randrange(1, 256), *rng.randbytes(3)]) for _ in range(count))
        if rng.random() < 0.7:
            return b"\x59\x02" + bytes([rng.randrange(1, 256)]) + records, True
        pairs = b"".join(bytes([rng.randrange(1, 256), rng.randrange(256)]) for _ in range(count))
        stated = count if rng.random() < 0.7 else rng.randrange(256)
        return bytes([0x43, stated]) + pairs, stated == count

    def batch(self, messages: int = 200) -> Batch:
        """So many answers of all modules, with noise between their frames."""
        batch = Batch()
        queues: dict[int, list[tuple[int, bytes]]] = {answer: [] for _, answer in MODULES}
        for _ in range(messages):
            asker, answer = self.rng.choice(MODULES)
            self.answer(batch, queues[answer], asker, answer)
        order = [place for place, queue in queues.items() for _ in queue]
        self.rng.shuffle(order)
        at = 1.7e9
        going = {place: iter(queue) for place, queue in queues.items()}
        for place in order:
            at += 0.0005
            batch.rows.append((at, *next(going[place])))
            if self.rng.random() < 0.1:
                batch.rows.append((at, *self.noise()))
        return batch

    def answer(self, batch: Batch, queue: list[tuple[int, bytes]], asker: int, answer: int) -> None:
        """A request and its answer, the latter broken every second time."""
        rng, (payload, list_whole) = self.rng, self.payload()
        request = b"\x03\x19\x02\xff" if payload[0] == 0x59 else b"\x01\x03"
        queue.append((asker, request.ljust(8, b"\x00")))
        padding = rng.choice((b"\x00", b"\x55", b"\xaa", b"\xcc", b"\xff"))
        frames = frames_of(payload, len(payload), padding)
        if rng.random() < 0.5:
            frames = [one for frame in frames for one in [frame] * (1 + (rng.random() < 0.02))]
            batch.sent.setdefault(answer, set()).add(payload)
            if list_whole:
                batch.lists.setdefault(answer, set()).add(payload)
        else:
            frames = rng.choice(self.breaks)(frames) if len(frames) > 1 else self.single(frames[0])
        queue += [(answer, frame) for frame in frames]

    def noise(self) -> tuple[int, bytes]:
        """A frame that belongs to nothing: other ids with any bytes, or an answering id with no kind that is known."""
        if self.rng.random() < 0.7:
            return self.rng.choice(NOISE), self.rng.randbytes(self.rng.randrange(9))
        kind = bytes([self.rng.randrange(0x30, 0x100)])
        return self.rng.choice(MODULES)[1], b"" if self.rng.random() < 0.1 else kind + self.rng.randbytes(7)

    # ways to break a message of several frames

    def lost(self, frames: Frames) -> Frames:
        n = self.rng.randrange(len(frames))
        return frames[:n] + frames[n + 1 :]

    def first_lost(self, frames: Frames) -> Frames:
        return frames[1:]

    def tail_lost(self, frames: Frames) -> Frames:
        return frames[: self.rng.randrange(1, len(frames))]

    def sixteen_lost(self, frames: Frames) -> Frames:
        return frames[:1] + frames[17:] if len(frames) > 17 else frames[:-1]

    def swapped(self, frames: Frames) -> Frames:
        n = self.rng.randrange(len(frames) - 1)
        return [*frames[:n], frames[n + 1], frames[n], *frames[n + 2 :]]

    def shortened(self, frames: Frames) -> Frames:
        """One frame ends early: inside the bytes that count."""
        n = self.rng.randrange(len(frames) - 1)
        return [*frames[:n], frames[n][: self.rng.randrange(8)], *frames[n + 1 :]]

    def renumbered(self, frames: Frames) -> Frames:
        n = self.rng.randrange(1, len(frames))
        other = 0x20 | (frames[n][0] + self.rng.randrange(1, 16)) & 0xF
        return [*frames[:n], bytes([other]) + frames[n][1:], *frames[n + 1 :]]

    def restarted(self, frames: Frames) -> Frames:
        """It begins, and begins again with another length, which is not met."""
        stated = (int.from_bytes(frames[0][:2], "big") & 0xFFF) + self.rng.randrange(8, 300)
        other = bytes([0x10 | stated >> 8 & 0xF, stated & 0xFF]) + frames[0][2:]
        return [*frames[: self.rng.randrange(1, len(frames))], other, *frames[1:]]

    def overtaken(self, frames: Frames) -> Frames:
        """A refusal comes in the middle."""
        n = self.rng.randrange(1, len(frames))
        return [*frames[:n], bytes.fromhex("037F192200000000"), *frames[n:]]

    def huge(self, frames: Frames) -> Frames:
        """It states up to four thousand million bytes."""
        stated = self.rng.randrange(1 << 13, 1 << 32)
        return [b"\x10\x00" + stated.to_bytes(4, "big") + frames[0][6:8], *frames[1:]]

    def changed_kind(self, frames: Frames) -> Frames:
        """One frame turns into one of no known kind."""
        n = self.rng.randrange(len(frames))
        return [*frames[:n], bytes([self.rng.randrange(0x40, 0x100)]) + frames[n][1:], *frames[n + 1 :]]

    def single(self, frame: bytes) -> Frames:
        """A single frame that is shorter than it says, says nothing, or is gone."""
        length = frame[0]
        return self.rng.choice(([frame[: self.rng.randrange(1, length + 1)]], [b"\x00" + frame[1:]], []))
