"""One idea: who answers under which id is spelt out in binary, by the rounds in which it answered.

Every id is asked once; one that was asked too early or too late for any answer is left out. Where most answers fit one
and the same distance between the two ids, that is tried first. Then, for each bit of the numbers of the ids that are
left, only those are asked whose bit is 1: each answering id spells the number of the id that it listens to.
A pair counts only when, asked alone, that id is answered by this one and no other, to two different questions; what
cannot be confirmed is named, never guessed.
"""

import random
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from putback.adapters.bus.asking_all import ABOUT_EMISSIONS, COUNT, PRESENT, Asker, Heard, Id
from putback.core.codes.talk.car_read import Pair

_OTHER_QUESTIONS: Final = (ABOUT_EMISSIONS, COUNT)
"""The second is asked where nothing answers the first: some modules refuse by silence."""

_MOST_APART: Final = 8
"""So often at most, for each takes some seconds: common practice, no source."""

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
    pairing = _Pairing(asker, _mixed(candidates), gap_s=gap_s, known=known)
    quick_s, usual_s, long_s = _waits(asker)
    pairing.take_round(quick_s, 1)
    pairing.take_round(usual_s, 2)
    pairing.take_apart()
    pairing.take_round(long_s, 3)
    return Paired(pairs=pairing.pairs, not_paired=tuple(sorted(pairing.open_ids)))


def _mixed(ids: Sequence[Id]) -> list[Id]:
    """Always in the same disorder, so that ids that were asked at the same time have no distance in common."""
    return random.Random(len(ids)).sample(ids, len(ids))


def _waits(asker: Asker) -> list[float]:
    """How long each round waits for answers: as long as a module may take, with what a gateway adds, longer still."""
    usual_s = asker.timing.first_s(0)
    return [min(asker.timing.p2_s + _MARGIN_S, usual_s), usual_s, asker.timing.first_s(2)]


class _Pairing:
    """What is known so far: pairs, ids that answer and have no partner yet, and those that have one."""

    def __init__(self, asker: Asker, candidates: Sequence[Id], *, gap_s: float, known: Iterable[Id]) -> None:
        self.pairs: dict[Pair, float] = {}
        self.open_ids: set[Id] = set()
        self._asker = asker
        self._candidates = candidates
        self._gap_s = gap_s
        self._done = set(known)
        self._wait_s = 0.0
        self._tries = 1
        self._shared: set[Id] = set()

    def take_round(self, wait_s: float, tries: int) -> None:
        """Ask all, try what the answers have in common, and let the rest spell. The first round is never left out."""
        self._wait_s, self._tries = wait_s, tries
        self._confirm(self._as_others())
        if tries == 1 or self.open_ids:
            self._take_all()

    def take_apart(self) -> None:
        """Where a module hears several ids, its digits are mixed: halve what was asked until one of them is left.

        An id that several modules hear, as some speak to a group, is asked no more, and the digits come out clear.
        """
        tried: set[Id] = set()
        for _ in range(_MOST_APART):
            answer = min(self.open_ids - tried, default=None)
            if answer is None or self._asker.stopped:
                return
            request = self._one_heard_by(answer) if self._asker.is_quiet(answer, self._wait_s) else None
            if request is not None and self._is_shared(request, answer):
                self._shared.add(request)
                self._take_all()
                continue
            tried.add(answer)
            if request is not None:
                self._confirm({answer: request})

    def _is_shared(self, request: Id, answer: Id) -> bool:
        heard = self._asker.ask_alone(request, PRESENT, expected=answer)
        return len({one.id for one in heard}) > 1

    def _one_heard_by(self, answer: Id) -> Id | None:
        asked = [id for id in self._candidates if id not in self._taken()]
        while len(asked) > 1 and not self._asker.stopped:
            half = asked[: len(asked) // 2]
            answered = any(one.id == answer for _ in range(self._tries) for one in self._ask(half))
            asked = half if answered else asked[len(half) :]
        return asked[0] if asked else None

    def _take_all(self) -> None:
        heard = self._ask([id for id in self._candidates if id not in self._taken()])
        self._confirm(self._alike(heard))
        self._confirm(self._spelt(self._in_time(heard)))

    def _taken(self) -> set[Id]:
        return self._done | self.open_ids | self._shared | {(pair.request, pair.extended) for pair in self.pairs}

    def _ask(self, ids: Sequence[Id]) -> list[Heard]:
        """Ask these; who answers and has no partner is noted."""
        asked = self._asker.ask(ids, [PRESENT], gap_s=self._gap_s, wait_s=self._wait_s, only_quiet=True)
        heard = [one for one in asked if one.id not in self._done]
        self.open_ids |= {one.id for one in heard}
        return heard

    def _in_time(self, heard: Iterable[Heard]) -> list[Id]:
        """The ids that were asked so shortly before an answer without a partner that it may be theirs."""
        sent_at, taken = self._asker.sent_at, self._taken()
        times = [one.at_s for one in heard if one.id in self.open_ids]
        asked = ((id, sent_at[id]) for id in self._candidates if id in sent_at and id not in taken)
        return [id for id, sent_s in asked if any(0 <= at_s - sent_s <= self._wait_s for at_s in times)]

    def _alike(self, heard: Iterable[Heard]) -> dict[Id, Id]:
        """For each answering id the one that lies at the distance that most answers allow, if half of them do."""
        first = {one.id: one for one in reversed(list(heard))}
        fits = {id: {_distance(asked, id): asked for asked in self._in_time([one])} for id, one in first.items()}
        found: dict[Id, Id] = {}
        for extended in (False, True):
            alike = {id: distances for id, distances in fits.items() if id[1] is extended}
            votes = Counter(distance for distances in alike.values() for distance in distances if distance is not None)
            best = min(votes, key=lambda distance: (-votes[distance], abs(distance)), default=None)
            if best is not None and votes[best] * 2 >= len(alike):
                found |= {id: distances[best] for id, distances in alike.items() if best in distances}
        return found

    def _as_others(self) -> dict[Id, Id]:
        """For each open id the one at the distance that most pairs have, if half of them do."""
        known = Counter(
            _distance((pair.request, pair.extended), (pair.answer, pair.extended)) for pair in self.pairs
        ).most_common(1)
        if not known or known[0][1] * 2 < len(self.pairs):
            return {}
        taken, distance = self._taken(), known[0][0]
        free = [id for id in self._candidates if id not in taken]
        return {answer: id for answer in self.open_ids for id in free if _distance(id, answer) == distance}

    def _spelt(self, asked: Sequence[Id]) -> dict[Id, Id]:
        """For each open id the asked one whose number it spells. An answer that is lost may come the next time."""
        numbers = dict.fromkeys(self.open_ids, 0)
        if not numbers:
            return {}
        for bit in range((len(asked) - 1).bit_length() if asked else 0):
            chosen = [id for number, id in enumerate(asked) if number >> bit & 1]
            for id in {one.id for _ in range(self._tries) for one in self._ask(chosen)}:
                numbers[id] = numbers.get(id, 0) | 1 << bit
        return {id: asked[number] for id, number in numbers.items() if number < len(asked)}

    def _confirm(self, likely: Mapping[Id, Id]) -> None:
        """Keep the pairs that hold when the id is asked alone, by two questions."""
        for answer, request in sorted(likely.items()):
            if answer[1] is not request[1] or request in self._asker.spoken:
                continue
            took_s = self._holds(request, answer)
            if took_s is not None:
                self.pairs[Pair(request=request[0], answer=answer[0], extended=request[1])] = took_s
                self._done.add(answer)
                self.open_ids.discard(answer)

    def _holds(self, request: Id, answer: Id) -> float | None:
        """How long the answer takes, where two questions are answered by this one and no other [s]."""
        first = (self._alone(request, answer, PRESENT) for _ in range(self._tries))
        took_s = next((took for took in first if took is not None), None)
        others = (self._alone(request, answer, other) for other in _OTHER_QUESTIONS * self._tries)
        return took_s if took_s is not None and any(took is not None for took in others) else None

    def _alone(self, request: Id, answer: Id, question: bytes) -> float | None:
        begun = self._asker.clock()
        answers = self._asker.ask_alone(request, question, expected=answer, wait_s=self._wait_s)
        return answers[0].at_s - begun if {one.id for one in answers} == {answer} else None


def _distance(request: Id, answer: Id) -> int | None:
    """How far apart two ids are; with 29 bits, how far apart the module's own bytes in them are.

    >>> _distance((0x713, False), (0x77D, False)), _distance((0x18DA10F1, True), (0x18DAF110, True))
    (106, 0)
    """
    if request[1] is not answer[1]:
        return None
    return (answer[0] & 0xFF) - (request[0] >> 8 & 0xFF) if request[1] else answer[0] - request[0]
