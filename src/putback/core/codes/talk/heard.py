"""One idea: what a log holds of one module answers the same questions, in the same talk, as the module itself.

Of several answers to one question the best is taken: a whole one before a refusal, a refusal before a cut one, and the
later of two whole ones. A question that the log does not hold is unanswered, and that is said.
"""

from dataclasses import dataclass, field, replace
from typing import Final

from putback.core.codes.lists.listing import CONFIRMED
from putback.core.codes.meaning.answers import read_answer
from putback.core.codes.meaning.bits import SPAN
from putback.core.codes.meaning.code_answers import CodeAnswer
from putback.core.codes.meaning.refusal import REFUSAL, WAIT
from putback.core.codes.talk import asking
from putback.core.codes.talk.asking import ask_module
from putback.core.codes.talk.car_read import How, ModuleRead, Pair
from putback.core.codes.talk.exchange import POSITIVE, Answer, Ask, Came, Rest, answers_to
from putback.core.codes.talk.frames import Message
from putback.core.codes.talk.may_send import May, MaySend

QUESTIONS: Final = (
    asking.ALL_CODES,
    asking.STORED,
    asking.PENDING_CODES,
    asking.PERMANENT,
    asking.ABOUT_EMISSIONS,
    asking.READY,
    asking.READY_THIS_CYCLE,
    asking.WHAT_IT_SAYS,
    asking.NUMBER,
    asking.NAME,
    asking.NUMBER_BY_ID,
    asking.NAME_BY_ID,
)
"""What a read of a car asks; everything else in a log is passed over."""

LISTS: Final = frozenset({asking.ALL_CODES.request, asking.STORED.request})
"""The questions for codes, by which a module counts as read."""

ALL_BITS: Final = 0xFF
STORED_CODES: Final = 0x03

_NO_MORE: Final = May(yes=False, why="a log cannot be asked")
_ALLOWED: Final = MaySend(session=_NO_MORE, sweep=_NO_MORE, clear=_NO_MORE)


def question_of(request: bytes) -> bytes | None:
    """The question of `QUESTIONS` that a request asks; None where it asks something else.

    A list of codes may be asked for by other status bits than all.

    >>> question_of(bytes.fromhex("190209")).hex(), question_of(bytes.fromhex("2701"))
    ('1902ff', None)
    """
    echo = bytes([request[0] + POSITIVE & 0xFF]) + request[1:] if request else b""
    asked = (one.request for one in QUESTIONS if len(request) == len(one.request) and answers_to(one.request, echo))
    return next(asked, None)


def question_of_answer(data: bytes) -> bytes | None:
    """The question that an answer fits where its request is not known; None for a refusal, which fits too many."""
    if data[:1] == bytes([REFUSAL]):
        return None
    return next((one.request for one in QUESTIONS if data and answers_to(one.request, data)), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reply:
    """One answer as the log holds it; `request` is None where its request is not in the log."""

    request: bytes | None
    asked_s: float
    message: Message

    @property
    def rank(self) -> int:
        """How much it is worth beside others."""
        if not self.message.whole:
            return 1
        return 2 if self.message.data[:1] == bytes([REFUSAL]) else 3


@dataclass(slots=True, kw_only=True)
class Heard:
    """What the log holds of one module in one read: by question, when it was asked, and the best answer."""

    asked: dict[bytes, int] = field(default_factory=dict)
    waiting: set[bytes] = field(default_factory=set)
    best: dict[bytes, Reply] = field(default_factory=dict)
    twice: dict[bytes, int] = field(default_factory=dict)
    _heard_s: float | None = None

    def ask(self, question: bytes) -> None:
        """The question was sent to the module."""
        self.asked[question] = self.asked.get(question, 0) + 1

    def take(self, question: bytes, reply: Reply) -> None:
        """An answer came, or the word that it comes later."""
        data = reply.message.data
        if reply.message.whole and data[:1] == bytes([REFUSAL]) and data[2:3] == bytes([WAIT]):
            self.waiting.add(question)
            return
        old = self.best.get(question)
        if old is not None and old.message.data == data and old.asked_s == reply.asked_s:
            self.twice[question] = self.twice.get(question, 0) + 1
        if old is None or reply.rank >= old.rank:
            self.best[question] = reply

    def whole_s(self, question: bytes) -> float | None:
        """When a whole list for this question came, [s]; None where none did."""
        best = self.best.get(question)
        return best.message.ended_s if best is not None and best.rank == 3 else None

    def read(self, pair: Pair, *, name: str | None) -> ModuleRead:
        """All of it, by the talk that a module on a bus is asked in."""
        talk = ask_module(pair, name=name, allowed=_ALLOWED)
        wish = next(talk)
        while True:
            answer = Answer(came=Came.ANSWERED) if isinstance(wish, Rest) else self._answer(wish)
            try:
                wish = talk.send(answer)
            except StopIteration as end:
                return self._narrow(end.value)

    def _narrow(self, read: ModuleRead) -> ModuleRead:
        """A list that was not asked for confirmed codes does not hold them all: none is absent."""
        reply = self.best.get(asking.ALL_CODES.request)
        if reply is None or reply.request is None or reply.request[2] & CONFIRMED or read.how is not How.ANSWERED:
            return self._stored_alone(read)
        return replace(read, how=How.PARTIAL, said=(*read.said, "it was not asked for its confirmed codes"))

    def _stored_alone(self, read: ModuleRead) -> ModuleRead:
        """Whoever asks for stored codes and not for pending ones has the whole list of the stored ones."""
        stored, pending = self.best.get(asking.STORED.request), asking.PENDING_CODES.request
        if read.how is not How.PARTIAL or read.service != STORED_CODES or stored is None or stored.rank < 3:
            return read
        found = read_answer(stored.message.data)
        if pending in self.asked or pending in self.best or not isinstance(found, CodeAnswer) or not found.whole:
            return read
        return replace(read, how=How.ANSWERED, mask=CONFIRMED, said=(), notes=(*read.notes, *read.said))

    def _answer(self, ask: Ask) -> Answer:
        question = question_of(ask.request)
        reply = None if question is None else self.best.get(question)
        if reply is None:
            now = self._now()
            quiet = Answer(came=Came.SILENT, why=self._why(question), begun_s=now, ended_s=now)
            return self._gate(ask.request) or quiet
        self._heard_s = max(self._now(), reply.message.ended_s)
        return Answer(
            came=Came.ANSWERED if reply.message.whole else Came.CUT_OFF,
            data=reply.message.data,
            why=reply.message.said,
            notes=tuple(self._notes(ask, reply)),
            begun_s=reply.asked_s,
            ended_s=self._heard_s,
        )

    def _now(self) -> float:
        """How far the talk has come, on the clock of the log."""
        if self._heard_s is None:
            self._heard_s = min((reply.asked_s for reply in self.best.values()), default=0.0)
        return self._heard_s

    def _gate(self, request: bytes) -> Answer | None:
        """Which numbers of a service the module has, from the answers that the log holds where it was not asked."""
        if request not in (asking.ABOUT_EMISSIONS.request, asking.WHAT_IT_SAYS.request):
            return None
        emissions = [one for one, reply in self.best.items() if one[0] < 0x10 and reply.rank == 3]
        if not emissions:
            return None
        numbers = {min(one[1], SPAN) for one in emissions if one[0] == request[0] and len(one) > 1 and one[1]}
        row = sum(1 << SPAN - number for number in numbers)
        data = bytes([request[0] + POSITIVE, 0]) + row.to_bytes(4, "big")
        return Answer(came=Came.ANSWERED, data=data, begun_s=self._now(), ended_s=self._now())

    def _why(self, question: bytes | None) -> str:
        if question in self.waiting:
            return "it asked for more time, and its answer is not in the log"
        return "it did not answer" if question in self.asked else "it was not asked for in the log"

    def _notes(self, ask: Ask, reply: Reply) -> list[str]:
        notes = []
        if reply.request is None:
            notes.append(f"{ask.what}: the log holds the answer and not the request")
        elif ask is asking.ALL_CODES and reply.request[2] != ALL_BITS:
            notes.append(f"only codes with one of the status bits {reply.request[2]:02X} were asked for")
        twice = reply.message.duplicates + self.twice.get(ask.request, 0)
        if twice:
            notes.append(f"{ask.what}: {twice} {'frame' if twice == 1 else 'frames'} came twice")
        return notes
