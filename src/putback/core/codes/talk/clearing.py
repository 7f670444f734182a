"""One idea: clearing destroys evidence, so what it destroys is said first, and nothing is cleared that was not saved.

A clear is sent once to each module that was heard, by the service by which it gave its codes, and never again. What a
module answers is kept; silence means that nobody knows whether it cleared.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from putback.core.codes.lists.listing import Listed, Stage
from putback.core.codes.meaning.answers import CLEARED
from putback.core.codes.meaning.refusal import NOT_IN_THIS_SESSION
from putback.core.codes.talk.asking import LEAVE, OTHER_SESSION, instead
from putback.core.codes.talk.car_read import CarRead, How, ModuleRead, Pair
from putback.core.codes.talk.exchange import Answer, Ask, Talk
from putback.core.codes.talk.may_send import MaySend

WORD: Final = "clear"
"""What a person types to clear."""

BY_STATUS: Final = Ask(request=bytes.fromhex("14FFFFFF"), what="clear all codes", repeat=False)
BY_LIST: Final = Ask(request=b"\x04", what="clear the emission codes", repeat=False)
_BY_LIST_SERVICE: Final = 0x03


@dataclass(frozen=True, slots=True, kw_only=True)
class ModuleCleared:
    """What one module said to the clear. `cleared` None: it is not known whether it cleared."""

    module: str
    pair: Pair
    cleared: bool | None
    said: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Destroyed:
    """What a clear takes from the car for good.

    `codes` are those that the modules hold now; `words` all the rest, one line each.
    """

    codes: tuple[Listed, ...]
    words: tuple[str, ...]


def destroyed(now: CarRead) -> Destroyed:
    """What a clear would destroy, by what the modules hold now."""
    return Destroyed(codes=now.listing("").listed, words=tuple(_destroyed(now)))


def _destroyed(now: CarRead) -> Iterator[str]:
    yield "the values that were frozen when each code was set"
    yield "the results of the monitors (service 06) and the counts of their runs"
    readiness = now.listing("").readiness
    if readiness is not None:
        done = f"{readiness.complete} of {readiness.supported} complete now"
        yield f"readiness: {done}, none after it, until the car has been driven as its maker says"
    permanent = now.listing("").permanent
    if permanent:
        yield f"permanent codes stay: {', '.join(permanent)}; each goes only when its own test has run and passed"
    yield "values that a module has learned may go with it: see the maker's publication for what to relearn"


def against_clearing(before: CarRead, now: CarRead) -> tuple[str, ...]:
    """What shows that the saved read is not of this car as it answers now; empty where nothing does.

    Args:
        before: the saved read.
        now: the same modules, asked just now.
    """
    return tuple(_against(before, now))


def _against(before: CarRead, now: CarRead) -> Iterator[str]:
    if before.stage != Stage.BEFORE:
        yield f"the saved list was read {before.stage!r}, not before the work"
    if now.stopped:
        yield f"the modules were not all asked just now: {now.stopped}"
    if before.vin != now.vin:
        yield f"the saved read is of {_number(before)}, and this car gives {_number(now)}"
    answers = {one.pair: one for one in now.modules}
    for one in before.modules:
        here = answers.get(one.pair)
        if one.how is How.ANSWERED and (here is None or here.how is not How.ANSWERED):
            how = "was not asked" if here is None else f"is {here.how}"
            yield f"{one.module} answered before and {how} now: find out why first"


def _number(read: CarRead) -> str:
    return f"the vehicle number {read.vin}" if read.vin else "no vehicle number"


def to_clear(now: CarRead) -> tuple[ModuleRead, ...]:
    """The modules that are sent a clear: those that gave a whole list."""
    return tuple(one for one in now.modules if one.how is How.ANSWERED)


def clear_module(one: ModuleRead, allowed: MaySend) -> Talk[ModuleCleared]:
    """Clear one module, once. Where it demands another session for it, that is asked for if it may be."""
    ask = BY_LIST if one.service == _BY_LIST_SERVICE else BY_STATUS
    if not allowed.clear.yes:
        return _said(one, False, f"not sent; {allowed.clear.why}")
    answer: Answer = yield ask
    refused = answer.refused
    if refused is None or refused.reason not in NOT_IN_THIS_SESSION or not allowed.session.yes:
        return _outcome(one, answer)
    entered: Answer = yield OTHER_SESSION
    if not entered.positive:
        return _said(one, False, f"{instead(answer)}; the extended session: {instead(entered)}")
    answer = yield ask
    yield LEAVE
    return _outcome(one, answer)


def _outcome(one: ModuleRead, answer: Answer) -> ModuleCleared:
    if answer.refused is not None or not answer.sent:
        return _said(one, False, instead(answer))
    if answer.whole and answer.data[:1] in (bytes([service]) for service in CLEARED):
        return _said(one, True, "it says that it has cleared its codes")
    return _said(one, None, f"{instead(answer)}: whether it cleared is not known; read it again")


def _said(one: ModuleRead, cleared: bool | None, said: str) -> ModuleCleared:
    return ModuleCleared(module=one.module, pair=one.pair, cleared=cleared, said=said)
