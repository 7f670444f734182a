"""One idea: modules are found by asking: first all at once, then by the usual ids, then, if wanted, by every id.

Ids after ISO 15765-4 (from memory; 7DF and 18DB33F1 seen): 7DF and 18DB33F1 speak to all, 7E0 to 7E7 are answered by
the id eight higher, 18DAxxF1 by 18DAF1xx. A module that answers all at once under another id is heard, but its own id
is not known; a sweep finds it. A sweep is asked for expressly, and only with a vehicle that stands still.
"""

import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Final

import can

from putback.adapters.bus.asking_all import ABOUT_EMISSIONS, COUNT, PRESENT, Asker, Heard, Id
from putback.adapters.bus.pairing import pair_up
from putback.adapters.bus.timing import Timing
from putback.core.codes.talk.car_read import Pair
from putback.core.codes.talk.exchange import answers_to

TO_ALL: Final[Sequence[Id]] = ((0x7DF, False), (0x18DB33F1, True))
STANDARD: Final[Sequence[Id]] = tuple((0x7E0 + n, False) for n in range(8))
SWEPT_11: Final[Sequence[Id]] = tuple((id, False) for id in range(0x600, 0x800) if id != TO_ALL[0][0])
"""Where ids of modules lie in common practice, no source; below them lies the car's own urgent traffic."""

SWEPT_29: Final[Sequence[Id]] = tuple((0x18DA00F1 | n << 8, True) for n in range(256))
_QUESTIONS: Final = (PRESENT, ABOUT_EMISSIONS)
_TRIES: Final = 3
LISTEN_S: Final = 0.05
LISTEN_BEFORE_SWEEP_S: Final = 2.0
"""Long enough to hear what a car sends once a second: common practice, no source. What is sent less often than that is
heard only by chance."""

SWEEP_GAP_S: Final = 0.001
"""Least time between two frames of a sweep: under a third of a bus of 500 kbit/s (computed). Common practice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sweep:
    """What a person wants swept.

    Raises:
        ValueError: nobody says that the vehicle stands still.
    """

    stands_still: bool
    ids: Sequence[Id]

    def __post_init__(self) -> None:
        if not self.stands_still:
            raise ValueError("a sweep needs a vehicle that is said to stand still")


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundModule:
    """A module: its ids, how long it took to answer [s], how it was found, what it said first."""

    pair: Pair
    answered_in_s: float
    how_found: str
    first_bytes: bytes = b""


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What was found. `not_paired` are ids that answer and whose own request id is not known."""

    modules: tuple[FoundModule, ...]
    not_paired: tuple[Id, ...] = ()
    notes: tuple[str, ...] = ()
    frames_sent: int = 0


def discover(
    bus: can.BusABC,
    *,
    sweep: Sweep | None = None,
    timing: Timing | None = None,
    on_progress: Callable[[str], None] | None = None,
    stop: Callable[[], bool] | None = None,
    log: Callable[[can.Message], None] | None = None,
    clock: Callable[[], float] = time.monotonic,
) -> Found:
    """Find the modules of a car.

    Args:
        bus: an open bus.
        sweep: what is to be swept; None: only the standard's ids are asked.
        timing: how long to wait.
        on_progress: is told in words what is done.
        stop: asked often; once it says yes, what was found is given.
        log: is given every frame.
        clock: a steady clock, [s].
    """
    tell = on_progress or (lambda _words: None)
    asker = Asker(bus, timing or Timing(), stop=stop, log=log, clock=clock)
    tell("listening to the car's own traffic")
    asker.listen(LISTEN_S if sweep is None else LISTEN_BEFORE_SWEEP_S)
    tell("asking all modules at once")
    heard, begun = _by_standard(asker)
    likely = {pair: one for one in heard if (pair := standard_pair(one.id)) is not None}
    found = {pair: one for pair, one in sorted(likely.items()) if _holds(asker, pair, one)}
    modules = [_of_standard(pair, one, begun) for pair, one in found.items()]
    unpaired = {one.id for one in heard} - {(pair.answer, pair.extended) for pair in found}
    if sweep is not None and not asker.stopped:
        tell(f"asking {len(sweep.ids)} ids, each many times")
        swept = pair_up(asker, _free(asker, sweep.ids, found, unpaired), gap_s=SWEEP_GAP_S, known=_answers(found))
        modules += [
            FoundModule(pair=pair, answered_in_s=took_s, how_found="sweep") for pair, took_s in swept.pairs.items()
        ]
        unpaired = (unpaired | set(swept.not_paired)) - _answers(swept.pairs)
    left = tuple(sorted(unpaired))
    notes: tuple[str, ...] = ()
    if asker.failed:
        notes = (f"the bus failed while modules were looked for, so some may be missing: {asker.failed}",)
    return Found(modules=tuple(modules), not_paired=left, notes=notes, frames_sent=asker.sent)


def standard_pair(answer: Id) -> Pair | None:
    """The ids of a module that answers under this id, where the standard says them.

    >>> str(standard_pair((0x7E8, False))), str(standard_pair((0x18DAF110, True))), standard_pair((0x77D, False))
    ('7E0/7E8', '18DA10F1/18DAF110', None)
    """
    id, extended = answer
    if extended and id >> 8 == 0x18DAF1:
        return Pair(request=0x18DA00F1 | (id & 0xFF) << 8, answer=id, extended=True)
    if not extended and id - 8 in {standard for standard, _ in STANDARD}:
        return Pair(request=id - 8, answer=id)
    return None


def _by_standard(asker: Asker) -> tuple[list[Heard], float]:
    """Everybody who answers a question to all, or to one of the usual ids; the first answer of each."""
    begun = asker.clock()
    heard = asker.ask((*TO_ALL, *STANDARD), _QUESTIONS, gap_s=asker.timing.gap_s)
    first: dict[Id, Heard] = {}
    for one in heard:
        first.setdefault(one.id, one)
    return list(first.values()), begun


def _holds(asker: Asker, pair: Pair, one: Heard) -> bool:
    """Whether the id that the standard pairs with this answer is the one that is answered so, asked alone.

    A question comes first that nobody was asked yet: an answer to an earlier one may come late, or a second time. Who
    is silent to it is asked the earlier one again, after a time in which that would have come.
    """
    request, answer = (pair.request, pair.extended), (pair.answer, pair.extended)

    def answers(question: bytes) -> bool:
        return any(heard.id == answer for heard in asker.ask_alone(request, question, expected=answer))

    if any(answers(COUNT) for _ in range(_TRIES)):
        return True
    question = next(question for question in _QUESTIONS if answers_to(question, one.data))
    return asker.is_quiet(answer, asker.timing.first_s(1)) and any(answers(question) for _ in range(_TRIES))


def _of_standard(pair: Pair, one: Heard, begun: float) -> FoundModule:
    how = "asked all at once, or by the usual ids"
    return FoundModule(pair=pair, answered_in_s=one.at_s - begun, how_found=how, first_bytes=one.data)


def _free(asker: Asker, ids: Sequence[Id], found: Iterable[Pair], answering: set[Id]) -> list[Id]:
    """The ids that may be asked: none of the car's own traffic, of modules that answer, or that speaks to all."""
    taken = asker.live | set(TO_ALL) | set(STANDARD) | answering
    for pair in found:
        taken |= {(pair.request, pair.extended), (pair.answer, pair.extended)}
    return [id for id in ids if id not in taken]


def _answers(pairs: Iterable[Pair]) -> set[Id]:
    return {(pair.answer, pair.extended) for pair in pairs}
