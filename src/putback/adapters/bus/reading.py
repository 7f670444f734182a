"""One idea: all modules are read at once, slow ones first, and a read that is stopped is kept as far as it came."""

import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import can

from putback.adapters.bus.conversation import Conversation
from putback.adapters.bus.timing import Timing
from putback.core.codes.talk.asking import address_name, ask_module
from putback.core.codes.talk.car_read import CarRead, How, ModuleRead, Pair
from putback.core.codes.talk.exchange import Ask, Talk
from putback.core.codes.talk.may_send import MaySend
from putback.core.codes.talk.whole_car import named, number


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadStep:
    """How far a read has come: `module` is asked for `what` now; `done` of `total` modules are through."""

    done: int
    total: int
    module: str
    what: str


def read_car(
    bus: can.BusABC,
    pairs: Sequence[Pair],
    *,
    stage: str,
    at: str,
    allowed: MaySend,
    bus_name: str = "",
    names: Mapping[Pair, str] | None = None,
    first: Sequence[Pair] = (),
    since: str = "",
    timing: Timing | None = None,
    at_once: int = 4,
    on_progress: Callable[[ReadStep], None] | None = None,
    stop: Callable[[], bool] | None = None,
    log: Callable[[can.Message], None] | None = None,
    clock: Callable[[], float] = time.monotonic,
) -> CarRead:
    """Read every module of a car.

    Args:
        bus: an open bus.
        pairs: the modules, by their ids.
        stage: when this is, a word of `Stage`.
        at: when it begins, ISO 8601.
        allowed: what may be sent beyond reading.
        bus_name: how the bus is to be called in the read.
        names: the modules that have a name already; they are not asked for it.
        first: the modules that are known to be slow, the slowest first.
        since: what was done since the read before that erases codes.
        timing: how to wait and repeat.
        at_once: how many requests may be open at a time.
        on_progress: is told of each request.
        stop: asked often; once it says yes, the read ends with what it has. Ctrl-C does the same.
        log: is given every frame.
        clock: a steady clock, [s].
    """
    names = names or {}
    conversation = Conversation(bus, timing=timing, at_once=at_once, log=log, clock=clock)
    order = dict.fromkeys([*(pair for pair in first if pair in set(pairs)), *pairs])
    progress = _Progress(len(order), on_progress)
    talks = {
        pair: progress.told(pair, names.get(pair), ask_module(pair, name=names.get(pair), allowed=allowed))
        for pair in order
    }
    found = conversation.run(talks, stop=stop)
    read = [found.get(pair) or _never(pair, names.get(pair)) for pair in dict.fromkeys(pairs)]
    modules = tuple(named(read, names))
    vin, vin_notes = number(modules)
    return CarRead(
        stage=stage,
        at=at,
        bus=bus_name,
        modules=modules,
        vin=vin,
        stopped=conversation.failed or ("stopped before every module was asked" if conversation.stopped else ""),
        since=since,
        notes=vin_notes,
    )


class _Progress:
    """Tells whoever waits what is being asked."""

    def __init__(self, total: int, tell: Callable[[ReadStep], None] | None) -> None:
        self._total = total
        self._done = 0
        self._tell = tell

    def told(self, pair: Pair, name: str | None, talk: Talk[ModuleRead]) -> Talk[ModuleRead]:
        """The same talk, each of its requests told."""
        module = name or address_name(pair)
        wish = next(talk)
        while True:
            if isinstance(wish, Ask):
                self._step(module, wish.what)
            answer = yield wish
            try:
                wish = talk.send(answer)
            except StopIteration as end:
                self._done += 1
                self._step(module, "done")
                read: ModuleRead = end.value
                return read

    def _step(self, module: str, what: str) -> None:
        if self._tell is not None:
            self._tell(ReadStep(done=self._done, total=self._total, module=module, what=what))


def _never(pair: Pair, name: str | None) -> ModuleRead:
    said = ("stopped before it was asked to the end",)
    return ModuleRead(module=name or address_name(pair), pair=pair, how=How.SILENT, said=said)
