"""One idea: on buses before CAN a monitor's result has one limit, and only the maker says its unit.

Service 06 on older buses: a test, a component, whether the limit is the least or the most, a value, a limit. Source:
SAE J1979 of 2002, service 06 (from memory; no independent reference reads this form).
"""

from dataclasses import dataclass

from putback.core.codes.meaning.bits import SPAN, supported
from putback.core.codes.meaning.monitors import ANSWER
from putback.core.codes.meaning.wrong import Wrong, hexed

LENGTH = 7
"""Bytes of an answer, service and test included; both forms have as many."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OldTest:
    """One result in whole numbers as sent. `limit` is the least allowed or the most."""

    test: int
    component: int
    raw: int
    limit: int
    limit_is_least: bool

    @property
    def passed(self) -> bool | None:
        """Whether the value keeps its limit; None: value and limit are both zero, which proves nothing."""
        if not self.raw and not self.limit:
            return None
        return self.raw >= self.limit if self.limit_is_least else self.raw <= self.limit


@dataclass(frozen=True, slots=True, kw_only=True)
class OldMonitorAnswer:
    """What an answer to service 06 on an older bus says: one result, or which tests there are."""

    found: OldTest | None = None
    supported: tuple[int, ...] = ()
    padding: int = 0
    wrong: tuple[Wrong, ...] = ()


def read_old_monitors(answer: bytes) -> OldMonitorAnswer:
    """The result, or the tests, of an answer to service 06 on an older bus, from 46 on.

    >>> found = read_old_monitors(bytes.fromhex("46 05 81 0048 0064")).found
    >>> found.component, found.raw, found.limit_is_least, found.passed
    (1, 72, True, False)
    """
    if len(answer) < LENGTH or answer[0] != ANSWER:
        what = f"{hexed(answer) or 'nothing'} is no whole answer to service 06 on an older bus"
        return OldMonitorAnswer(wrong=(Wrong(what=what, mend="read the module again"),))
    rest = answer[LENGTH:]
    said = Wrong(what=f"{hexed(rest)} stands after the answer", mend="read the module again")
    wrong, padding = ((said,), 0) if any(rest) else ((), len(rest))
    if answer[1] % SPAN == 0:
        return OldMonitorAnswer(supported=supported(answer[1], answer[3:7]), padding=padding, wrong=wrong)
    return OldMonitorAnswer(found=_test(answer), padding=padding, wrong=wrong)


def _test(answer: bytes) -> OldTest:
    return OldTest(
        test=answer[1],
        component=answer[2] & 0x7F,
        raw=int.from_bytes(answer[3:5], "big"),
        limit=int.from_bytes(answer[5:7], "big"),
        limit_is_least=bool(answer[2] & 0x80),
    )
