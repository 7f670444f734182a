"""One idea: one door for every answer: whatever bytes come in, a value comes out that says what they are.

The first byte names the service; a refusal names the service that it refuses. Nothing in here raises for any bytes.
"""

from dataclasses import dataclass
from typing import TypeAlias

from putback.core.codes.meaning.code_answers import (
    ANSWER,
    LISTS,
    REPORTS_OF_COUNT,
    CodeAnswer,
    CountAnswer,
    StatusAnswer,
    read_codes,
    read_count,
    read_status_answer,
)
from putback.core.codes.meaning.monitors import MonitorAnswer, read_monitors
from putback.core.codes.meaning.old_monitors import OldMonitorAnswer, read_old_monitors
from putback.core.codes.meaning.pids import LiveAnswer, read_live
from putback.core.codes.meaning.refusal import REFUSAL, Refused, read_refusal
from putback.core.codes.meaning.report_answers import REPORTS, ReportAnswer, read_report
from putback.core.codes.meaning.vehicle import InfoAnswer, read_info
from putback.core.codes.meaning.wrong import Wrong, hexed

CLEARED = (0x44, 0x54)
"""Answers to service 04 (emission codes) and service 14 (codes of one module)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cleared:
    """The module says that it has cleared its codes. With them went readiness, frozen frames and monitor results."""

    service: int
    wrong: tuple[Wrong, ...] = ()


Answer: TypeAlias = (
    CodeAnswer
    | StatusAnswer
    | CountAnswer
    | ReportAnswer
    | LiveAnswer
    | MonitorAnswer
    | OldMonitorAnswer
    | InfoAnswer
    | Cleared
    | Refused
    | Wrong
)


def read_answer(answer: bytes, *, on_can: bool = True) -> Answer:
    """What an answer says.

    Args:
        answer: the whole answer as the module sent it, put together from its frames.
        on_can: False for older buses, where lists of codes carry no count and monitor results are shorter.

    >>> str(read_answer(bytes.fromhex("43010133")).codes[0])
    'P0133'
    >>> print(read_answer(b""))
    the module sent no bytes; read the module again
    """
    if not answer:
        return Wrong(what="the module sent no bytes", mend="read the module again")
    first = answer[0]
    if first == REFUSAL:
        return read_refusal(answer)
    if first - ANSWER in LISTS:
        return read_codes(answer, on_can=on_can)
    if first in CLEARED:
        return _cleared(answer)
    if first == 0x59:
        return _about_codes(answer)
    return _about_emissions(answer, on_can=on_can)


def _about_codes(answer: bytes) -> Answer:
    report = answer[1] if len(answer) > 1 else None
    if report in REPORTS_OF_COUNT:
        return read_count(answer)
    return read_report(answer) if report in REPORTS else read_status_answer(answer)


def _about_emissions(answer: bytes, *, on_can: bool) -> Answer:
    if answer[0] in (0x41, 0x42):
        return read_live(answer)
    if answer[0] == 0x46:
        return read_monitors(answer) if on_can else read_old_monitors(answer)
    if answer[0] == 0x49:
        return read_info(answer)
    return Wrong(what=f"{hexed(answer[:1])} starts no answer that is known here", mend="keep the bytes in the record")


def _cleared(answer: bytes) -> Cleared:
    extra = answer[1:]
    wrong = Wrong(what=f"{hexed(extra)} stands after the answer", mend="read the module again to see what it has")
    return Cleared(service=answer[0] - ANSWER, wrong=(wrong,) if any(extra) else ())
