"""One idea: an answer that lists codes is taken apart to its last byte, and none of its bytes is dropped unsaid.

A list that is shorter than it says, ends inside a code, or carries bytes after its end is given as far as it can be
read, with what is wrong. Zeros that fill it up are counted, not hidden. Source: SAE J1979 / ISO 15031-5 services 03,
07 and 0A (over CAN a count comes first, on older buses it does not); ISO 14229-1 service 19.
"""

from dataclasses import dataclass

from putback.core.codes.meaning.code import Code
from putback.core.codes.meaning.status import Status
from putback.core.codes.meaning.wrong import Wrong, hexed

LISTS = {0x03: "stored", 0x07: "pending", 0x0A: "permanent"}
"""The three lists of trouble codes, by service."""

ANSWER = 0x40
"""What an answer adds to the number of the service."""

REPORTS_OF_CODES = frozenset({0x02, 0x0A, 0x0B, 0x0C, 0x0D, 0x0E, 0x13, 0x15})
"""Reports of service 19 that list codes with a status each: by mask, supported, first and last failed or confirmed,
emission-related by mask, permanent (as in ISO 14229-1; the list from memory, 02 seen)."""

REPORTS_OF_COUNT = frozenset({0x01, 0x07, 0x11, 0x12})
"""Reports of service 19 that count codes (the list from memory, 01 seen)."""

AGAIN = "read the module again; until then its list is not whole"


@dataclass(frozen=True, slots=True, kw_only=True)
class CodeAnswer:
    """What services 03, 07 and 0A say. `stated` is the count that the answer gives, None where it has none.

    `padding` counts the zero bytes that are no codes.
    """

    service: int
    codes: tuple[Code, ...]
    stated: int | None = None
    padding: int = 0
    wrong: tuple[Wrong, ...] = ()

    @property
    def kind(self) -> str:
        """Stored, pending or permanent."""
        return LISTS.get(self.service, f"service {self.service:02X}")

    @property
    def whole(self) -> bool:
        """Whether the list came as it says; only then is a code that is not on it absent."""
        return not self.wrong


@dataclass(frozen=True, slots=True, kw_only=True)
class Listed:
    """A code with its status, as one record of an answer."""

    code: Code
    status: Status


@dataclass(frozen=True, slots=True, kw_only=True)
class StatusAnswer:
    """What service 19 says where it lists codes. `mask` is None where the answer was cut off before it."""

    report: int | None
    mask: int | None
    listed: tuple[Listed, ...] = ()
    padding: int = 0
    wrong: tuple[Wrong, ...] = ()

    @property
    def whole(self) -> bool:
        """Whether the list came to its end; only then is a code that is not on it absent."""
        return not self.wrong


@dataclass(frozen=True, slots=True, kw_only=True)
class CountAnswer:
    """What service 19 says where it counts codes. `form` is the number of the code format; 1 is ISO 14229-1."""

    report: int
    mask: int
    form: int
    count: int
    wrong: tuple[Wrong, ...] = ()


def read_codes(answer: bytes, *, on_can: bool = True) -> CodeAnswer:
    """The codes of an answer to service 03, 07 or 0A.

    Args:
        answer: the whole answer, from 43, 47 or 4A on.
        on_can: whether the second byte is a count; older buses send three codes at a time without one.

    >>> [str(code) for code in read_codes(bytes.fromhex("430201020113")).codes]
    ['P0102', 'P0113']
    >>> print(*read_codes(bytes.fromhex("4303 0102 0113")).wrong)
    the answer says 3 codes and holds 2; read the module again; until then its list is not whole
    """
    wrong = [] if answer[:1] and answer[0] - ANSWER in LISTS else [_not(answer, "43, 47 or 4A")]
    service = answer[0] - ANSWER if answer else -1
    body = answer[2:] if on_can else answer[1:]
    stated = answer[1] if on_can and len(answer) > 1 else None
    if on_can and stated is None:
        wrong.append(Wrong(what="the answer ends before the count of codes", mend=AGAIN))
    pairs, rest = cut(body, 2)
    counted, after = (pairs, []) if stated is None else (pairs[:stated], pairs[stated:])
    codes = tuple(Code(number=int.from_bytes(pair, "big")) for pair in counted if any(pair))
    if stated is not None and len(codes) < stated:
        wrong.append(Wrong(what=f"the answer says {_codes(stated)} and holds {len(codes)}", mend=AGAIN))
    extra = b"".join(after) + rest
    if any(extra):
        wrong.append(left_over(extra))
    if not on_can:
        wrong += gaps(pairs)
    zeros = sum(len(pair) for pair in counted if not any(pair)) + (0 if any(extra) else len(extra))
    return CodeAnswer(service=service, codes=codes, stated=stated, padding=zeros, wrong=tuple(wrong))


def read_status_answer(answer: bytes, *, asked: int | None = None) -> StatusAnswer:
    """The codes with their status of an answer to service 19.

    Records of zeros at the end are padding; between codes they are wrong.

    Args:
        answer: the whole answer, from 59 on.
        asked: the report that was asked for; another one is wrong.

    >>> found = read_status_answer(bytes.fromhex("5902FF0A9B1724"), asked=0x02)
    >>> print(found.listed[0].code, found.listed[0].status.bits)
    P0A9B-17 36
    """
    wrong = [] if answer[:1] == b"\x59" else [_not(answer, "59")]
    report = answer[1] if len(answer) > 1 else None
    mask = answer[2] if len(answer) > 2 else None
    if report is not None and (report not in REPORTS_OF_CODES if asked is None else report != asked):
        expected = "which is no list that is known here" if asked is None else f"report {asked:02X} was asked for"
        wrong.append(Wrong(what=f"report {report:02X} came, {expected}", mend=AGAIN))
        return StatusAnswer(report=report, mask=None, wrong=tuple(wrong))
    if mask is None:
        wrong.append(Wrong(what="the answer ends before its availability mask", mend=AGAIN))
        return StatusAnswer(report=report, mask=None, wrong=tuple(wrong))
    records, rest = cut(answer[3:], 4)
    last = max((place for place, record in enumerate(records) if any(record)), default=-1)
    wrong += gaps(records[: last + 1])
    if any(rest):
        wrong.append(left_over(rest))
    listed = tuple(_listed(record, mask) for record in records if any(record))
    wrong += [_no_code(item) for item in listed if not any(item.code.bytes)]
    zeros = sum(len(record) for record in records if not any(record)) + (0 if any(rest) else len(rest))
    return StatusAnswer(report=report, mask=mask, listed=listed, padding=zeros, wrong=tuple(wrong))


def read_count(answer: bytes) -> CountAnswer | Wrong:
    """The count of an answer to service 19 report 01 and its like.

    >>> read_count(bytes.fromhex("5901FB011234")).count
    4660
    """
    if answer[:1] != b"\x59" or len(answer) < 6 or answer[1] not in REPORTS_OF_COUNT:
        return Wrong(what=f"{hexed(answer) or 'nothing'} is no count of codes", mend="read the module again")
    wrong = (left_over(answer[6:]),) if any(answer[6:]) else ()
    count = int.from_bytes(answer[4:6], "big")
    return CountAnswer(report=answer[1], mask=answer[2], form=answer[3], count=count, wrong=wrong)


def _listed(record: bytes, mask: int) -> Listed:
    code = Code(number=int.from_bytes(record[:2], "big"), failure_type=record[2])
    return Listed(code=code, status=Status(bits=record[3], mask=mask))


def cut(body: bytes, size: int) -> tuple[list[bytes], bytes]:
    """Whole records, and the bytes of one that was cut off."""
    end = len(body) - len(body) % size
    return [body[place : place + size] for place in range(0, end, size)], body[end:]


def gaps(records: list[bytes]) -> list[Wrong]:
    """What is wrong where a record of zeros stands before one that is not."""
    last = max((place for place, record in enumerate(records) if any(record)), default=-1)
    empty = sum(not any(record) for record in records[: last + 1])
    what = f"{empty} empty {'place stands' if empty == 1 else 'places stand'} between codes"
    return [Wrong(what=what, mend=AGAIN)] if empty else []


def _no_code(item: Listed) -> Wrong:
    what = f"{item.code} with status {item.status.bits:02X} is no code, yet it was sent as one"
    return Wrong(what=what, mend="keep it in the record; ask the maker what it means")


def left_over(extra: bytes) -> Wrong:
    """What is wrong where bytes are left that make no whole code."""
    return Wrong(what=f"{hexed(extra)} stands after the last whole code", mend=AGAIN)


def _not(answer: bytes, expected: str) -> Wrong:
    return Wrong(what=f"the answer starts with {hexed(answer[:1]) or 'nothing'}, not {expected}", mend=AGAIN)


def _codes(count: int) -> str:
    return f"{count} code" if count == 1 else f"{count} codes"
