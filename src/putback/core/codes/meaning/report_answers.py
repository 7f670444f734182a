"""One idea: a report of service 19 that says more than code and status is read by its own layout, never by another's.

A layout is a head, then records of one length. Where a report carries data that only the maker can read, the data
stays bytes. Source: ISO 14229-1, service 19; layouts as two program libraries read them
(tests/core/codes/test_report_answers.py).
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from putback.core.codes.meaning.code import Code
from putback.core.codes.meaning.code_answers import AGAIN, cut, gaps, left_over
from putback.core.codes.meaning.status import Status
from putback.core.codes.meaning.wrong import Wrong, hexed

KEEP = "keep the bytes in the record; read the codes with what the maker names"

SIZES: Mapping[str, int] = MappingProxyType({"code": 3})
"""Bytes of a field; one where it is not named."""

FORMS: Mapping[int, str] = MappingProxyType(
    {
        0x00: "SAE J2012 format 00",
        0x01: "ISO 14229-1",
        0x02: "SAE J1939-73",
        0x03: "ISO 11992-4",
        0x04: "SAE J2012 format 04",
    }
)
"""Formats of a code, by number; 00 to 03 seen in one program library, 04 from memory."""

SPELT = frozenset({0x00, 0x01, 0x04})
"""Formats whose three bytes are a code and a failure type."""

SEVERITIES: Mapping[int, str] = MappingProxyType(
    {5: "service when convenient", 6: "check at the next stop", 7: "check at once"}
)
"""Bits of a severity, in our words. Bits 0 to 4 are the class of the code."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """The layout of one report: the fields before the records, the fields of a record, whether data follows it."""

    name: str
    head: tuple[str, ...]
    record: tuple[str, ...]
    data: bool = False

    @property
    def size(self) -> int:
        """Bytes of one record, its data not counted."""
        return sum(SIZES.get(field, 1) for field in self.record)


_OF_CODE = ("code", "status")
_WITH_SEVERITY = ("severity", *_OF_CODE)

REPORTS: Mapping[int, Report] = MappingProxyType(
    {
        0x03: Report(name="frames stored", head=(), record=("code", "number")),
        0x04: Report(name="frames of one code", head=(), record=_OF_CODE, data=True),
        0x06: Report(name="further data of one code", head=(), record=_OF_CODE, data=True),
        0x08: Report(name="codes by severity", head=("mask",), record=("severity", "unit", *_OF_CODE)),
        0x09: Report(name="severity of one code", head=("mask",), record=("severity", "unit", *_OF_CODE)),
        0x0F: Report(name="codes of the mirror memory", head=("mask",), record=_OF_CODE),
        0x10: Report(name="further data of one code, mirror memory", head=(), record=_OF_CODE, data=True),
        0x14: Report(name="fault counters", head=(), record=("code", "counter")),
        0x17: Report(name="codes of a memory of the maker", head=("memory", "mask"), record=_OF_CODE),
        0x18: Report(name="frames of one code, memory of the maker", head=("memory",), record=_OF_CODE, data=True),
        0x19: Report(
            name="further data of one code, memory of the maker", head=("memory",), record=_OF_CODE, data=True
        ),
        0x42: Report(
            name="codes by severity, worldwide harmonized",
            head=("group", "mask", "severity mask", "form"),
            record=_WITH_SEVERITY,
        ),
        0x55: Report(name="permanent codes, worldwide harmonized", head=("group", "mask", "form"), record=()),
        0x56: Report(name="codes of a readiness group", head=(), record=()),
    }
)
"""Reports that are no plain list of codes with their status. Without a record: the references disagree on it (55: with
a severity in one, without in another), or none reads it (56), so what follows the head stays bytes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Noted:
    """One record: a code, and what the report says of it. None: the report does not speak of it.

    `number` is that of a stored frame, `counter` the fault counter, `unit` the functional unit of the maker.
    """

    code: Code
    status: Status | None = None
    severity: int | None = None
    unit: int | None = None
    number: int | None = None
    counter: int | None = None

    @property
    def urgent(self) -> tuple[str, ...]:
        """What the severity asks for, in words."""
        bits = self.severity or 0
        return tuple(words for bit, words in SEVERITIES.items() if bits >> bit & 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportAnswer:
    """What such a report says. `head` holds its first fields by name, `data` what only the maker can read."""

    report: int
    name: str
    head: Mapping[str, int]
    noted: tuple[Noted, ...] = ()
    data: bytes = b""
    padding: int = 0
    wrong: tuple[Wrong, ...] = ()

    @property
    def whole(self) -> bool:
        """Whether the answer came to its end; only then is a code that is not in it absent from it."""
        return not self.wrong


def read_report(answer: bytes) -> ReportAnswer | Wrong:
    """The records of an answer to service 19 whose report is one of `REPORTS`.

    Args:
        answer: the whole answer, from 59 on.

    >>> found = read_report(bytes.fromhex("59 42 33 FF E0 04 80 0A9B17 24"))
    >>> print(found.noted[0].code, found.noted[0].urgent, found.head["group"])
    P0A9B-17 ('check at once',) 51
    """
    layout = REPORTS.get(answer[1]) if len(answer) > 1 and answer[0] == 0x59 else None
    if layout is None:
        return Wrong(what=f"{hexed(answer[:2]) or 'nothing'} is no such report", mend="keep the bytes in the record")
    start = 2 + len(layout.head)
    head = MappingProxyType(dict(zip(layout.head, answer[2:start], strict=False)))
    if len(head) < len(layout.head):
        wrong = (Wrong(what=f"the answer ends before its {layout.head[len(head)]}", mend=AGAIN),)
        return ReportAnswer(report=answer[1], name=layout.name, head=head, wrong=wrong)
    form = head.get("form", 0x01)
    if form not in SPELT:
        wrong = (_other_form(form),)
        return ReportAnswer(report=answer[1], name=layout.name, head=head, data=answer[start:], wrong=wrong)
    if not layout.record:
        wrong = (Wrong(what=f"how report {answer[1]:02X} lays out its codes is not confirmed", mend=KEEP),)
        return ReportAnswer(report=answer[1], name=layout.name, head=head, data=answer[start:], wrong=wrong)
    read = _with_data if layout.data else _records
    return read(answer[1], layout, head, answer[start:])


def _records(report: int, layout: Report, head: Mapping[str, int], body: bytes) -> ReportAnswer:
    records, rest = cut(body, layout.size)
    last = max((place for place, record in enumerate(records) if any(record)), default=-1)
    wrong = gaps(records[: last + 1])
    if any(rest):
        wrong.append(left_over(rest))
    zeros = sum(len(record) for record in records if not any(record)) + (0 if any(rest) else len(rest))
    noted = tuple(_noted(layout, record, head) for record in records if any(record))
    return ReportAnswer(report=report, name=layout.name, head=head, noted=noted, padding=zeros, wrong=tuple(wrong))


def _with_data(report: int, layout: Report, head: Mapping[str, int], body: bytes) -> ReportAnswer:
    """One code, then data that has no end of its own: a code that is cut off is said, data that is cannot be."""
    if len(body) < layout.size:
        wrong = (Wrong(what=f"the answer ends inside its code: {hexed(body) or 'nothing'}", mend=AGAIN),)
        return ReportAnswer(report=report, name=layout.name, head=head, data=body, wrong=wrong)
    noted = (_noted(layout, body[: layout.size], head),)
    return ReportAnswer(report=report, name=layout.name, head=head, noted=noted, data=body[layout.size :])


def _noted(layout: Report, record: bytes, head: Mapping[str, int]) -> Noted:
    fields: dict[str, bytes] = {}
    at = 0
    for field in layout.record:
        size = SIZES.get(field, 1)
        fields[field] = record[at : at + size]
        at += size
    code, status = fields["code"], fields.get("status")
    return Noted(
        code=Code(number=int.from_bytes(code[:2], "big"), failure_type=code[2]),
        status=None if status is None else Status(bits=status[0], mask=head.get("mask", 0xFF)),
        severity=_byte(fields, "severity"),
        unit=_byte(fields, "unit"),
        number=_byte(fields, "number"),
        counter=_byte(fields, "counter"),
    )


def _byte(fields: Mapping[str, bytes], name: str) -> int | None:
    return fields[name][0] if name in fields else None


def _other_form(form: int) -> Wrong:
    what = f"the codes are in {FORMS.get(form, f'format {form:02X}')}, which is not read here"
    return Wrong(what=what, mend=KEEP)
