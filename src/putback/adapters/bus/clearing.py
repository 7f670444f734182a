"""One idea: modules are cleared one after another, each once, and only with a saved read of this very car."""

import time
from collections.abc import Callable
from dataclasses import replace
from typing import Final

import can

from putback.adapters.bus.conversation import Conversation
from putback.adapters.bus.timing import Timing
from putback.core.codes.talk.car_read import CarRead
from putback.core.codes.talk.clearing import ModuleCleared, against_clearing, clear_module, to_clear
from putback.core.codes.talk.may_send import MaySend

PATIENCE_S: Final = 2.0
"""A module is given so long to answer a clear, as it is sent only once [s]: common practice, no source."""


def clear_car(
    bus: can.BusABC,
    before: CarRead,
    now: CarRead,
    *,
    allowed: MaySend,
    timing: Timing | None = None,
    stop: Callable[[], bool] | None = None,
    log: Callable[[can.Message], None] | None = None,
    clock: Callable[[], float] = time.monotonic,
) -> tuple[ModuleCleared, ...]:
    """Send a clear to every module that gave a whole list just now.

    Args:
        bus: an open bus.
        before: the saved read from before the work.
        now: the same modules, asked just now.
        allowed: what may be sent.
        timing: how to wait.
        stop: once it says yes, no further module is cleared.
        log: is given every frame.
        clock: a steady clock, [s].

    Raises:
        ValueError: the saved read does not fit this car, or clearing is not allowed; whoever calls asks first.
    """
    against = against_clearing(before, now)
    if against or not allowed.clear.yes:
        raise ValueError("; ".join(against) or allowed.clear.why)
    timing = timing or Timing()
    patient = replace(timing, allowance_s=max(timing.allowance_s, PATIENCE_S))
    conversation = Conversation(bus, timing=patient, at_once=1, log=log, clock=clock)
    modules = to_clear(now)
    found = conversation.run({one.pair: clear_module(one, allowed) for one in modules}, stop=stop)
    never = "stopped before its answer came: whether it cleared is not known; read it again"
    return tuple(
        found.get(one.pair) or ModuleCleared(module=one.module, pair=one.pair, cleared=None, said=never)
        for one in modules
    )
