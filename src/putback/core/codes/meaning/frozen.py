"""One idea: a frozen frame is what the module recorded when a code was set; without a code, its values mean nothing.

Source: SAE J1979 / ISO 15031-5, service 02: PID 02 names the code that froze the frame, zeros say that none did.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from putback.core.codes.meaning.code import Code
from putback.core.codes.meaning.pids import FROZEN, Live, LiveAnswer
from putback.core.codes.meaning.wrong import Wrong

FROZEN_BY = 0x02
"""The PID that names the code."""

SERVICE = FROZEN - 0x40


@dataclass(frozen=True, slots=True, kw_only=True)
class FrozenFrame:
    """One frame: the code that froze it and the values of that moment, by PID.

    `stored` None: the module did not say whether there is a frame. `values` is empty where there is none.
    """

    number: int
    stored: bool | None
    code: Code | None = None
    values: tuple[Live, ...] = ()
    wrong: tuple[Wrong, ...] = ()


def frozen_frames(answers: Iterable[LiveAnswer]) -> tuple[FrozenFrame, ...]:
    """The frames that answers to service 02 speak of, in order of their numbers. Other answers are left out.

    >>> from putback.core.codes.meaning.pids import read_live
    >>> (frame,) = frozen_frames([read_live(bytes.fromhex("42 02 00 0143 0C 00 1AF8"))])
    >>> print(frame.code, frame.values[0].readings[0].value)
    P0143 1726.0
    """
    frames: dict[int, list[Live]] = {}
    wrong: list[Wrong] = []
    for answer in answers:
        if answer.service == SERVICE:
            wrong += answer.wrong
            for live in answer.values:
                frames.setdefault(live.frame or 0, []).append(live)
    if wrong and not frames:
        frames[0] = []
    return tuple(_frame(number, lives, wrong) for number, lives in sorted(frames.items()))


def _frame(number: int, lives: list[Live], wrong: list[Wrong]) -> FrozenFrame:
    by_pid: dict[int, Live] = {}
    for live in lives:
        by_pid.setdefault(live.pid, live)
    twice = [_twice(live, number) for live in lives if by_pid[live.pid].data != live.data]
    cause = by_pid.pop(FROZEN_BY, None)
    named = cause is not None and len(cause.data) == 2
    stored = any(cause.data) if cause is not None and named else None
    code = Code(number=int.from_bytes(cause.data, "big")) if cause is not None and stored else None
    values = () if stored is False else tuple(live for pid, live in sorted(by_pid.items()) if live.supported is None)
    return FrozenFrame(number=number, stored=stored, code=code, values=values, wrong=(*wrong, *twice))


def _twice(live: Live, number: int) -> Wrong:
    what = f"PID {live.pid:02X} of frame {number} came twice with different bytes: the first is kept"
    return Wrong(what=what, mend="read the frame again with the engine off")
