"""One idea: a log of frames is read as a car is read: who was asked, who answered, who did not, and with what.

A log may hold several reads. A new one begins where codes were cleared, and where a module is asked again for a list
that it gave whole more than ten seconds ago. Modules are known by the ids of the standard; others count only where an
answer fits a request that stands before it.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from typing import Final

from putback.core.codes.meaning.answers import CLEARED
from putback.core.codes.meaning.refusal import REFUSAL
from putback.core.codes.talk.askers import (
    Askers,
    answers_by_standard,
    beside,
    channel_of,
    id_shown,
    pair_of,
    same_bus,
    standard_asker,
    standard_partner,
    to_all,
    usual_distance,
)
from putback.core.codes.talk.car_read import CarRead
from putback.core.codes.talk.exchange import POSITIVE, answers_to
from putback.core.codes.talk.frames import FlowControl, Message, Reassembler
from putback.core.codes.talk.heard import LISTS, QUESTIONS, Heard, Reply, question_of, question_of_answer
from putback.core.codes.talk.whole_car import named, number

AGAIN_S: Final = 10.0
"""A list that is asked for so long after it came whole belongs to another read, [s]. Common practice, no source."""

ANSWER_S: Final = 30.0
"""What comes later than this after a request is not taken for its answer, [s]. As long as a live read waits."""

EPOCH_S: Final = 1e8
"""Below this a time counts from the start of the log and not from 1970, [s]."""

MOST_REQUESTS: Final = 64
"""So many requests of one service are kept open at once, the latest of each id."""

FIRST_OF_UDS: Final = 0x10
"""Services below this are those of SAE J1979, which go by the ids of the standard alone; under any other id a short
message that looks like one of them is ordinary traffic."""

_ASKED: Final = frozenset(one.request[0] for one in QUESTIONS) | {service - POSITIVE for service in CLEARED}
_ANSWERS: Final = frozenset(service + POSITIVE for service in _ASKED) | {REFUSAL}


@dataclass(slots=True, kw_only=True)
class _Read:
    """One read while the log goes by: by answering id what was heard, by asking id what was asked; and of all."""

    begun_s: float
    since: str = ""
    heard: dict[int, Heard] = field(default_factory=dict)
    asked: dict[int, Heard] = field(default_factory=dict)
    asked_all: dict[tuple[int, bytes], None] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Replayed:
    """What came of a log. Of its `frames`, `unread` are of no known kind, and `late` belong to no message."""

    reads: tuple[CarRead, ...]
    frames: int
    unread: int
    late: int
    notes: tuple[str, ...] = ()


class Replay:
    """Takes the frames of a log in their order, and says at the end which reads they were.

    Args:
        stage: when the reads were made, a word of `Stage`: what only a person knows.
        bus: how the log is to be called.
        names: names that a person gave, by the id that answers.
    """

    def __init__(self, *, stage: str, bus: str = "", names: Mapping[int, str] | None = None) -> None:
        self._stage, self._bus, self._names = stage, bus, names or {}
        self._frames = 0
        self._parts = Reassembler(ended_by=standard_partner)
        self._askers = Askers()
        self._open: dict[int, dict[int, tuple[float, bytes]]] = {service: {} for service in _ASKED}
        self._reads: list[_Read] = []
        self._unasked: Counter[int] = Counter()
        self._fitted: Counter[int] = Counter()

    def take_all(self, frames: Sequence[tuple[float, int, bytes]]) -> None:
        """Some more frames: time in s, place, bytes."""
        self._frames += len(frames)
        self._follow(self._parts.take_all(frames))

    def end(self) -> Replayed:
        """The reads; no more frames come."""
        self._follow(self._parts.end())
        pairs = self._askers.pairs(without=self._strangers())
        for read in self._reads:
            read.heard = {answer: one for answer, one in read.heard.items() if answer not in self._strangers()}
        known = {answer for read in self._reads for answer in read.heard}
        return Replayed(
            reads=tuple(self._car(read, pairs, known) for read in self._reads if read.heard or read.asked),
            frames=self._frames,
            unread=self._parts.unread,
            late=self._parts.late,
            notes=tuple(self._notes()),
        )

    # while the log goes by

    def _follow(self, items: Iterable[Message | FlowControl]) -> None:
        for item in items:
            if isinstance(item, FlowControl):
                continue
            first = item.data[0] if item.data else REFUSAL
            if first in _ASKED and item.why is None:
                self._request(item)
            elif first in _ANSWERS:
                self._answer(item)

    def _request(self, item: Message) -> None:
        open, question = self._open[item.data[0]], question_of(item.data)
        if not self._askers.asks(item.place) and (question is None or item.data[0] < FIRST_OF_UDS):
            return
        open.pop(item.place, None)
        open[item.place] = (item.ended_s, item.data)
        if len(open) > MOST_REQUESTS:
            del open[next(iter(open))]
        if question is None:
            return
        if to_all(item.place):
            self._read_for(item, question).asked_all[item.place, question] = None
        else:
            self._read_for(item, question).asked.setdefault(item.place, Heard()).ask(question)

    def _read_for(self, item: Message, question: bytes) -> _Read:
        """The read that a request belongs to; a new one where it asks again for what came long ago."""
        read = self._current(item.at_s)
        if question not in LISTS:
            return read
        for answer in read.heard if to_all(item.place) else self._answering(item.place) & read.heard.keys():
            came_s = read.heard[answer].whole_s(question)
            if came_s is not None and item.at_s - came_s > AGAIN_S:
                self._reads.append(_Read(begun_s=item.at_s))
                break
        return self._reads[-1]

    def _answering(self, asker: int) -> set[int]:
        """Under which ids this one has been answered, by the standard or as far as is seen by now."""
        partner = standard_partner(asker)
        return set(self._askers.answering(asker)) if partner is None else {partner}

    def _current(self, at_s: float) -> _Read:
        if not self._reads:
            self._reads.append(_Read(begun_s=at_s))
        return self._reads[-1]

    def _answer(self, item: Message) -> None:
        fitting = sorted(self._fitting(item), reverse=True)
        if not fitting and not answers_by_standard(item.place):
            self._unasked[item.place] += item.data[:2] == b"\x59\x02"
            return
        self._fitted[item.place] += 1
        own = [asker for _, asker, _ in fitting if not to_all(asker)]
        if own and not answers_by_standard(item.place):
            self._askers.fits(own, item.place)
        asked_s, _, request = fitting[0] if fitting else (item.at_s, 0, None)
        if item.data[:1] and item.data[0] in CLEARED:
            self._cleared(item.ended_s)
            return
        question = question_of_answer(item.data) if request is None else question_of(request)
        if question is not None:
            heard = self._current(item.at_s).heard.setdefault(item.place, Heard())
            heard.take(question, Reply(request=request, asked_s=asked_s, message=item))

    def _cleared(self, at_s: float) -> None:
        """A module has cleared its codes: what it answers from now on is another read."""
        if self._current(at_s).heard:
            self._reads.append(_Read(begun_s=at_s))
        self._reads[-1].since = "codes were cleared"

    def _fitting(self, item: Message) -> Iterator[tuple[float, int, bytes]]:
        """The requests that this answers: those of its own asker, and those to all."""
        for service in self._services(item.data):
            for asker, (at, request) in self._open[service].items():
                near = same_bus(asker, item.place) and 0 <= item.at_s - at <= ANSWER_S
                if near and self._may_answer(item, asker) and (not item.data or answers_to(request, item.data)):
                    yield at, asker, request

    def _may_answer(self, item: Message, asker: int) -> bool:
        """Whether an answer under this id may be meant for that asker, by the ids alone."""
        mine = standard_asker(item.place)
        if mine is not None:
            return asker == mine or to_all(asker)
        if to_all(asker) or standard_partner(asker) is not None or asker == item.place:
            return False
        return bool(item.data) or self._askers.fitted(asker, item.place)

    def _services(self, data: bytes) -> Iterable[int]:
        """The services that an answer may be for; all of them where its beginning is missing."""
        if not data:
            return self._open
        service = data[1] if data[0] == REFUSAL and len(data) > 1 else data[0] - POSITIVE
        return (service,) if service in self._open else ()

    # at its end

    def _car(self, read: _Read, pairs: Mapping[int, int], known: set[int]) -> CarRead:
        heard = self._with_silent(read, pairs, known)
        alone = Counter(pair_of(asker, answer) for answer, (asker, _) in heard.items())
        modules = []
        for answer, (asker, one) in sorted(heard.items()):
            pair = pair_of(asker, answer)
            module = one.read(pair, name=self._names.get(pair.answer))
            if alone[pair] > 1:
                module = replace(module, module=f"{module.module} on channel {channel_of(answer)}")
            modules.append(module)
        vin, notes = number(modules)
        return CarRead(
            stage=self._stage,
            at=_written(read.begun_s),
            bus=self._bus,
            modules=tuple(named(modules, {one.pair for one in modules if one.pair.answer in self._names})),
            vin=vin,
            since=read.since,
            notes=(*notes, *_guessed(heard, pairs), *_counted_from_start(read.begun_s)),
        )

    def _with_silent(self, read: _Read, pairs: Mapping[int, int], known: set[int]) -> dict[int, tuple[int, Heard]]:
        """What was heard, and everybody who was asked and did not answer: by answering id, with the asking one."""
        found = {answer: (_asker(answer, pairs), one) for answer, one in read.heard.items()}
        answers = {asker: answer for answer, asker in pairs.items()}
        for asker, questions in read.asked.items():
            answer = standard_partner(asker) or answers.get(asker) or beside(asker, usual_distance(pairs))
            found.setdefault(answer, (asker, Heard()))[1].asked.update(questions.asked)
        for asker, question in read.asked_all:
            for answer in known if question in LISTS else found.keys() & known:
                if same_bus(asker, answer) and standard_asker(answer) is not None:
                    found.setdefault(answer, (_asker(answer, pairs), Heard()))[1].ask(question)
        return found

    def _strangers(self) -> set[int]:
        """Ids that send such lists as often unasked as asked: that is ordinary traffic."""
        return {place for place, count in self._unasked.items() if count >= self._fitted[place]}

    def _notes(self) -> Iterator[str]:
        for place, count in sorted(self._unasked.items()):
            if count and place in self._strangers():
                yield f"{id_shown(place)} sends what looks like a list of codes, unasked: it is not counted"


def _asker(answer: int, pairs: Mapping[int, int]) -> int:
    return standard_asker(answer) or pairs.get(answer) or beside(answer, -usual_distance(pairs))


def _guessed(heard: Mapping[int, tuple[int, Heard]], pairs: Mapping[int, int]) -> Iterator[str]:
    """Which pairs nothing in the log confirms."""
    for answer, (asker, _) in sorted(heard.items()):
        if standard_asker(answer) is None and pairs.get(answer) != asker:
            yield f"that {pair_of(asker, answer)} belong together is a guess: the log does not show it"


def _written(at_s: float) -> str:
    """A time as ISO 8601 in UTC; empty where the log counts from its own start or states no time that there is."""
    if not EPOCH_S <= at_s < 4 * 10 * EPOCH_S:
        return ""
    return datetime.fromtimestamp(at_s, tz=UTC).isoformat(timespec="seconds")


def _counted_from_start(at_s: float) -> Iterator[str]:
    if not _written(at_s):
        yield f"the log does not say at what time it was made; this read begins at {at_s:.3f} s of it"
