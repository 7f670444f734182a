"""One idea: what is asked of one module, in which order, and what follows from each answer, is one talk without a bus.

First its codes with their status (service 19, report 02, all bits). A module that does not know that service is asked
for its stored and pending codes (03, 07), which carry no status: bits that nobody gave stay unknown. A module that
speaks of emissions is then asked for readiness, permanent codes, vehicle number and name; any other for number and
name by service 22. Everything here reads. Another session is asked for only where the module demands it and
`core.codes.may_send` lets it, and is left again at the end.
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Final

from putback.core.codes.lists.listing import CONFIRMED, Listed, Readiness
from putback.core.codes.meaning.answers import read_answer
from putback.core.codes.meaning.code_answers import CodeAnswer, StatusAnswer, read_status_answer
from putback.core.codes.meaning.pids import LiveAnswer
from putback.core.codes.meaning.readiness import Readiness as Monitors
from putback.core.codes.meaning.refusal import NOT_IN_THIS_SESSION
from putback.core.codes.meaning.status import Bit
from putback.core.codes.meaning.vehicle import VIN, InfoAnswer, shown
from putback.core.codes.meaning.wrong import Wrong, hexed
from putback.core.codes.talk.car_read import How, ModuleRead, Pair
from putback.core.codes.talk.exchange import Answer, Ask, Came, Talk
from putback.core.codes.talk.may_send import MaySend

PENDING: Final = 1 << Bit.PENDING
NOT_SUPPORTED: Final = (0x11, 0x12)

ALL_CODES: Final = Ask(request=bytes.fromhex("1902FF"), what="codes with their status")
STORED: Final = Ask(request=b"\x03", what="stored codes")
PENDING_CODES: Final = Ask(request=b"\x07", what="pending codes")
PERMANENT: Final = Ask(request=b"\x0a", what="permanent codes", repeats=2)
ABOUT_EMISSIONS: Final = Ask(request=bytes.fromhex("0100"), what="whether it speaks of emissions", repeats=2)
READY: Final = Ask(request=bytes.fromhex("0101"), what="readiness", repeats=2)
READY_THIS_CYCLE: Final = Ask(request=bytes.fromhex("0141"), what="readiness in this cycle", repeats=1)
WHAT_IT_SAYS: Final = Ask(request=bytes.fromhex("0900"), what="what it says of itself", repeats=2)
NUMBER: Final = Ask(request=bytes.fromhex("0902"), what="vehicle number", repeats=2)
NAME: Final = Ask(request=bytes.fromhex("090A"), what="its name", repeats=2)
NUMBER_BY_ID: Final = Ask(request=bytes.fromhex("22F190"), what="vehicle number", repeats=2)
NAME_BY_ID: Final = Ask(request=bytes.fromhex("22F197"), what="its name", repeats=2)
LEAVE: Final = Ask(request=bytes.fromhex("1001"), what="the usual session", repeat=False)
OTHER_SESSION: Final = Ask(
    request=bytes.fromhex("1003"), what="the extended session", repeat=False, afterwards=LEAVE.request
)

_SECOND_LOOK: Final = 2
_PID_41_FOLLOWS: Final = 0x20
_ACRONYM: Final = re.compile(r".{1,4}-\s*(.+)")
_UNNAMED: Final = re.compile(r"[^a-z0-9 ._/+-]+")


@dataclass
class _Told:
    """What a module has said so far."""

    pair: Pair
    name: str | None
    how: How = How.SILENT
    listed: tuple[Listed, ...] = ()
    mask: int = 0xFF
    permanent: tuple[str, ...] | None = None
    readiness: Readiness | None = None
    vin: str | None = None
    service: int | None = None
    said: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    begun_s: float | None = None
    ended_s: float = 0.0

    def ask(self, ask: Ask) -> Talk[Answer]:
        """Ask once, and note how it went."""
        answer: Answer = yield ask
        if answer.came is not Came.STOPPED:
            self.begun_s = answer.begun_s if self.begun_s is None else self.begun_s
            self.ended_s = answer.ended_s
        self.notes += [note for note in answer.notes if note not in self.notes]
        return answer

    def unheard(self, ask: Ask, answer: Answer) -> None:
        """Keep what it said instead of an answer."""
        words = f"{ask.what}: {instead(answer)}"
        if words not in self.said:
            self.said.append(words)

    def read(self) -> ModuleRead:
        """All of it as a value."""
        return ModuleRead(
            module=self.name or address_name(self.pair),
            pair=self.pair,
            how=self.how,
            listed=self.listed,
            mask=self.mask,
            permanent=self.permanent,
            readiness=self.readiness,
            vin=self.vin,
            service=self.service,
            said=tuple(self.said),
            notes=tuple(self.notes),
            took_s=0.0 if self.begun_s is None else self.ended_s - self.begun_s,
        )


def ask_module(pair: Pair, *, name: str | None, allowed: MaySend) -> Talk[ModuleRead]:
    """Ask one module for all that a read of the car takes from it.

    Args:
        pair: by which ids it is spoken to.
        name: its name, where it has one already; then it is not asked for it.
        allowed: what may be sent beyond reading.
    """
    told = _Told(pair=pair, name=name)
    entered = yield from _codes(told, allowed)
    if told.how is not How.SILENT:
        yield from _about_itself(told)
    if entered:
        left = yield from told.ask(LEAVE)
        told.notes.append("the extended session was left" if left.positive else _not_left(left))
    return told.read()


def address_name(pair: Pair) -> str:
    """The name of a module that gives none.

    >>> address_name(Pair(request=0x7E0, answer=0x7E8))
    'module 7e0'
    """
    return f"module {str(pair).partition('/')[0].lower()}"


# the codes


def _codes(told: _Told, allowed: MaySend) -> Talk[bool]:
    """The codes, by the first service that the module knows; whether another session was entered for it."""
    answer, entered = (yield from _with_status(told)), False
    if _demands_session(answer):
        answer, entered = yield from _in_session(told, allowed, answer)
    refused = answer.refused
    if refused is not None and refused.reason in NOT_SUPPORTED:
        told.notes.append("it does not know service 19, so its codes carry no status")
        yield from _without_status(told)
    elif answer.came is Came.SILENT:
        yield from _without_status(told, after_silence=answer)
    elif not answer.positive:
        told.how = How.REFUSED if refused is not None else How.PARTIAL if answer.came is Came.CUT_OFF else How.SILENT
        told.unheard(ALL_CODES, answer)
    return entered


def _with_status(told: _Told) -> Talk[Answer]:
    """Service 19; a list that is whole as frames and not as a list is asked for once more."""
    for _ in range(_SECOND_LOOK):
        answer = yield from told.ask(ALL_CODES)
        if not answer.data or answer.refused is not None:
            break
        found = read_status_answer(answer.data, asked=0x02)
        told.listed, told.mask = tuple(_listed(told, found)), 0xFF if found.mask is None else found.mask
        told.how = How.ANSWERED if answer.whole and found.whole else How.PARTIAL
        told.service = ALL_CODES.request[0]
        told.said = [] if told.how is How.ANSWERED else [f"{ALL_CODES.what}: {wrong}" for wrong in found.wrong]
        if told.how is How.ANSWERED or not answer.whole:
            break
    return answer


def _listed(told: _Told, found: StatusAnswer) -> Iterable[Listed]:
    """Each code once; the worse of each bit where a module sends one twice."""
    lines: dict[str, Listed] = {}
    for one in found.listed:
        code, status = str(one.code), one.status
        bits = status.bits | (lines[code].bits if code in lines else 0)
        if code in lines:
            told.notes.append(f"{code} was sent twice; the worse of each bit counts")
        lines[code] = Listed(module="", code=code, bits=bits, mask=status.mask)
    return lines.values()


def _demands_session(answer: Answer) -> bool:
    return answer.refused is not None and answer.refused.reason in NOT_IN_THIS_SESSION


def _in_session(told: _Told, allowed: MaySend, refusal: Answer) -> Talk[tuple[Answer, bool]]:
    """The codes in the extended session, and whether it may have been entered.

    Where no answer came to the session it may have been entered all the same. A module that then refuses as before
    shows that it was not, and is asked for the session once more.
    """
    answer, entered = refusal, False
    for _ in range(_SECOND_LOOK):
        told.unheard(ALL_CODES, answer)
        session = yield from _enter(told, allowed)
        if session is None or not (session.positive or session.came is Came.SILENT):
            break
        entered = True
        answer = yield from _with_status(told)
        if session.positive or not _demands_session(answer):
            break
    return answer, entered


def _enter(told: _Told, allowed: MaySend) -> Talk[Answer | None]:
    """What comes of asking for the extended session; None where it may not be asked for."""
    if not allowed.session.yes:
        told.notes.append(f"the extended session was not asked for; {allowed.session.why}")
        return None
    answer = yield from told.ask(OTHER_SESSION)
    if answer.positive:
        told.notes.append("it was read in the extended session, which it demands")
    else:
        told.unheard(OTHER_SESSION, answer)
    return answer


def _without_status(told: _Told, *, after_silence: Answer | None = None) -> Talk[None]:
    """Services 03 and 07."""
    stored_ask = STORED if after_silence is None else Ask(request=STORED.request, what=STORED.what, repeats=1)
    stored = yield from told.ask(stored_ask)
    if not stored.data or stored.refused is not None:
        told.how = How.SILENT if stored.refused is None else How.REFUSED
        if after_silence is not None and stored.refused is None:
            told.unheard(ALL_CODES, after_silence)
        told.unheard(STORED, stored)
        return
    pending = yield from told.ask(PENDING_CODES)
    lists = [(STORED, stored, CONFIRMED), (PENDING_CODES, pending, PENDING)]
    told.how, told.service = How.ANSWERED, STORED.request[0]
    known: dict[str, int] = {}
    for ask, answer, bit in lists:
        for code in _list_of(told, ask, answer):
            known[code] = known.get(code, 0) | bit
    told.mask = CONFIRMED | PENDING
    told.listed = tuple(Listed(module="", code=code, bits=bits, mask=bits) for code, bits in known.items())


def _list_of(told: _Told, ask: Ask, answer: Answer) -> Sequence[str]:
    """The codes of one list; the module is partial where it did not come whole."""
    if answer.refused is not None and answer.refused.reason in NOT_SUPPORTED:
        told.notes.append(f"{ask.what}: {answer.refused.says}")
        return ()
    found = read_answer(answer.data)
    if not answer.whole or not isinstance(found, CodeAnswer) or not found.whole:
        told.how = How.PARTIAL
        wrong = found.wrong if isinstance(found, CodeAnswer) else ()
        told.said.append(f"{ask.what}: {'; '.join([instead(answer), *map(str, wrong)])}")
    return [str(code) for code in found.codes] if isinstance(found, CodeAnswer) else ()


# the rest


def _about_itself(told: _Told) -> Talk[None]:
    emissions = yield from told.ask(ABOUT_EMISSIONS)
    if emissions.positive:
        yield from _about_emissions(told, emissions)
    if told.vin is None:
        answer = yield from told.ask(NUMBER_BY_ID)
        told.vin = _text(answer) or None
    if told.name is None:
        answer = yield from told.ask(NAME_BY_ID)
        told.name = name_of(_text(answer)) or None


def _about_emissions(told: _Told, supported: Answer) -> Talk[None]:
    permanent = yield from told.ask(PERMANENT)
    if permanent.positive:
        found = read_answer(permanent.data)
        if isinstance(found, CodeAnswer) and found.whole:
            told.permanent = tuple(str(code) for code in found.codes)
    if told.permanent is None:
        told.notes.append(f"{PERMANENT.what}: {instead(permanent)}")
    yield from _ready(told, supported)
    says = yield from told.ask(WHAT_IT_SAYS)
    info = read_answer(says.data) if says.positive else None
    kinds = info.supported if isinstance(info, InfoAnswer) else ()
    if VIN in kinds:
        told.vin = _item((yield from told.ask(NUMBER))) or None
    if told.name is None and NAME.request[1] in kinds:
        told.name = name_of(_item((yield from told.ask(NAME)))) or None


def _ready(told: _Told, supported: Answer) -> Talk[None]:
    since_clear = _monitors((yield from told.ask(READY)))
    if since_clear is not None:
        told.readiness = Readiness(supported=len(since_clear.supported), complete=len(since_clear.complete))
        told.notes.append(f"readiness since the codes were cleared: {since_clear}")
    row = read_answer(supported.data)
    known = row.values[0].supported if isinstance(row, LiveAnswer) and row.values else None
    if known and _PID_41_FOLLOWS in known:
        this_cycle = _monitors((yield from told.ask(READY_THIS_CYCLE)))
        if this_cycle is not None:
            told.notes.append(f"readiness in this driving cycle: {this_cycle}")


def _monitors(answer: Answer) -> Monitors | None:
    found = read_answer(answer.data) if answer.positive else None
    first = found.values[0].readiness if isinstance(found, LiveAnswer) and found.values else None
    return first if isinstance(first, Monitors) else None


def _item(answer: Answer) -> str:
    """The first item of an answer to service 09, as text."""
    found = read_answer(answer.data) if answer.positive else None
    return (found.items[0].text or "") if isinstance(found, InfoAnswer) and found.items else ""


def _text(answer: Answer) -> str:
    """The text of an answer to service 22, zeros and spaces around it taken off."""
    return shown(answer.data[3:].strip(b"\x00 \xff")) if answer.positive else ""


def name_of(text: str) -> str:
    r"""A module's name from what it calls itself: small letters, and of "ABCD-Name" the part after the stroke.

    >>> name_of(r"ECM\x00-Engine Control")
    'engine control'
    """
    bare = re.sub(r"\\x[0-9A-F]{2}", " ", text).strip()
    found = _ACRONYM.fullmatch(bare)
    return " ".join(_UNNAMED.sub(" ", (found[1] if found else bare).lower()).split())


def instead(answer: Answer) -> str:
    """What came instead of an answer that could be used."""
    refused = answer.refused
    if refused is not None:
        return f"{refused.says} ({hexed(answer.data)})"
    if answer.whole:
        found = read_answer(answer.data)
        return str(found) if isinstance(found, Wrong) else hexed(answer.data)
    return answer.why or str(answer.came)


def _not_left(answer: Answer) -> str:
    return f"the extended session was to be left: {instead(answer)}; a module leaves it by itself after a time"
