"""One idea: who answers under which id is spelt out in binary, by the rounds in which it answered.

Every id is asked once; one that was asked too early or too late for any answer is left out. Then, for each bit of the
ids' numbers, only those are asked whose bit is 1. So each answering id spells the number of the id that it listens to.
A pair counts only when, asked alone, that id is answered by this one and no other, to two different questions; what
cannot be confirmed is named, never guessed.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from putback.adapters.bus.asking_all import ABOUT_EMISSIONS, COUNT, PRESENT, Asker, Heard, Id
from putback.core.codes.car_read import Pair

_OTHER_QUESTIONS: Final = (ABOUT_EMISSIONS, COUNT)
"""The second is asked where nothing answers the first: some modules refuse by silence."""

_LATER_ROUNDS: Final = 2
_MARGIN_S: Final = 0.02
"""On top of P2, for the first, quick round [s]: common practice, no source. Who takes longer is found later."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Paired:
    """What came of it: pairs with the time of their answer [s], and the answering ids without a partner."""

    pairs: Mapping[Pair, float]
    not_paired: tuple[Id, ...]


def pair_up(asker: Asker, candidates: Sequence[Id], *, gap_s: float, known: Iterable[Id] = ()) -> Paired:
    """Find which of these ids are answered, and by whom.

    Args:
        asker: on the bus.
        candidates: ids to ask.
        gap_s: least time between two frames of ours, [s].
        known: answering ids that have their partner already.
    """
    done = set(known)
    pairs: dict[Pair, float] = {}
    open_ids: set[Id] = set()
    for wait_s in _waits(asker):
        taken = done | open_ids | {(pair.request, pair.extended) for pair in pairs}
        asked = [id for id in candidates if id not in taken]
        heard = [one for one in asker.ask(asked, [PRESENT], gap_s=gap_s, wait_s=wait_s) if one.id not in done]
        open_ids |= {one.id for one in heard}
        asked = [id for id in _in_time(asker, asked, heard, wait_s) if id not in open_ids]
        if asker.stopped or not open_ids:
            break
        for pair, took_s in _confirmed(asker, _spelt(asker, asked, open_ids, gap_s=gap_s, wait_s=wait_s)):
            pairs[pair] = took_s
            done.add((pair.answer, pair.extended))
            open_ids.discard((pair.answer, pair.extended))
        if not open_ids:
            break
    return Paired(pairs=pairs, not_paired=tuple(sorted(open_ids)))


def _waits(asker: Asker) -> list[float]:
    """How long each round waits for answers: first as long as a module may take, then with what a gateway adds."""
    return [min(asker.timing.p2_s + _MARGIN_S, asker.timing.first_s(0)), *[asker.timing.first_s(0)] * _LATER_ROUNDS]


def _in_time(asker: Asker, asked: Sequence[Id], heard: Sequence[Heard], wait_s: float) -> list[Id]:
    """The ids that were asked so shortly before an answer that it may be theirs."""
    return [id for id in asked if any(0 <= one.at_s - asker.sent_at.get(id, float("inf")) <= wait_s for one in heard)]


def _spelt(asker: Asker, candidates: Sequence[Id], answering: set[Id], *, gap_s: float, wait_s: float) -> dict[Id, Id]:
    """For each answering id the asked id whose number it spells."""
    numbers = dict.fromkeys(answering, 0)
    for bit in range(max(1, (len(candidates) - 1).bit_length())):
        chosen = [id for number, id in enumerate(candidates) if number >> bit & 1]
        for id in {one.id for one in asker.ask(chosen, [PRESENT], gap_s=gap_s, wait_s=wait_s)} & answering:
            numbers[id] |= 1 << bit
        if asker.stopped:
            return {}
    return {id: candidates[number] for id, number in numbers.items() if number < len(candidates)}


def _confirmed(asker: Asker, spelt: Mapping[Id, Id]) -> Iterator[tuple[Pair, float]]:
    """The pairs that hold when the id is asked alone, twice, by two questions.

    What a module that is confirmed already still has to say to an earlier question is not held against the next one.
    """
    settled: set[Id] = set()
    for answer, request in sorted(spelt.items()):
        if asker.stopped or answer[1] is not request[1] or answer == request:
            continue
        took_s = _alone(asker, request, answer, PRESENT, settled)
        if took_s is not None and any(_alone(asker, request, answer, other, settled) for other in _OTHER_QUESTIONS):
            settled.add(answer)
            yield Pair(request=request[0], answer=answer[0], extended=request[1]), took_s


def _alone(asker: Asker, request: Id, answer: Id, question: bytes, settled: Collection[Id]) -> float | None:
    """How long the answer took, where this id and no other answered."""
    begun = asker.clock()
    heard = [one for one in asker.ask_alone(request, question, expected=answer) if one.id not in settled]
    if {one.id for one in heard} != {answer}:
        return None
    return heard[0].at_s - begun
