"""One idea: what a field of an event may hold is written out for the page, as a pattern of the value as JSON.

The page has one test for all of them; the value is valid JSON, so a pattern need not say again what JSON is.
"""

import json
import re
from collections.abc import Iterable, Mapping

from putback.core.operations import Verb
from putback.core.quantity import TORQUE_UNITS_NM
from putback.core.record import shapes
from putback.core.record.shapes import Shape

_DAY = (
    r"(?!0000)(?:\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)"
    r"|02-(?:0[1-9]|1\d|2[0-8]))|(?:\d\d(?:0[48]|[2468][048]|[13579][26])|(?:[02468][048]|[13579][26])00)-02-29)"
)
_TEXT = r'"(?:[^"\\]|\\.)+"'
_ID = r'"[A-Za-z0-9][A-Za-z0-9._:-]{0,99}"'
_TIME = _DAY + r"T(?:[01]\d|2[0-3])(?::[0-5]\d){2}(?:\.\d{1,9})?(?:Z|[+-](?:[01]\d|2[0-3]):[0-5]\d)"
_MONEY = r'"-?(?:0|[1-9][0-9]{0,11})(?:\.[0-9]{1,4})?"'
_SIZE = r"\d[\d.e+-]*"
_NUMBER = "-?" + _SIZE
_ABOVE_0 = r"(?!0(?![\d.]))" + _SIZE


def _up_to(most: int) -> str:
    """Whole numbers from 0 up to a limit."""
    digits = str(most)
    below = [
        f"{digits[:at]}[0-{int(digit) - 1}]\\d{{{len(digits) - at - 1}}}"
        for at, digit in enumerate(digits)
        if digit != "0"
    ]
    return "|".join([rf"\d{{1,{len(digits) - 1}}}", digits, *below])


def _list_of(pattern: str) -> str:
    return rf"\[(?:{pattern}(?:,(?=.)|(?=\])))*\]"


def _words(words: Iterable[str]) -> str:
    return "|".join(re.escape(json.dumps(word, ensure_ascii=False)) for word in words)


def _object(must: Mapping[str, str], may: Mapping[str, str]) -> str:
    """An object in whatever order of its fields."""
    needed = "".join(rf'(?=.*"{name}":)' for name in must)
    fields = "|".join(f'"{name}":(?:{pattern})' for name, pattern in {**must, **may}.items())
    return rf"\{{{needed}(?:(?:{fields})(?:,|(?=\}})))*\}}"


_WRITTEN: tuple[tuple[Shape, str], ...] = (
    (shapes.TEXT, _TEXT),
    (shapes.ID, _ID),
    (shapes.IDS, _list_of(_ID)),
    (shapes.TEXTS, _list_of(_TEXT)),
    (shapes.COUNT, _up_to(2**53 - 1)),
    (shapes.COUNTS, _list_of(f"(?:{_up_to(2**53 - 1)})")),
    (shapes.AMOUNT_OF, _SIZE),
    (shapes.NUMBER, _NUMBER),
    (shapes.DATE, f'"{_DAY}"'),
    (shapes.MONEY, _MONEY),
    (shapes.TIME, f'"{_TIME}"'),
    (shapes.SHA256, '"[0-9a-f]{64}"'),
    (shapes.MEDIA, '"[a-z]+/[a-z0-9.+-]+"'),
    (shapes.PRICED, _list_of(_object({"name": _TEXT, "amount": _MONEY}, {}))),
    (shapes.VERB, _words(map(str, Verb))),
    (
        shapes.TORQUE,
        _object(
            {"value": _ABOVE_0, "unit": _words(TORQUE_UNITS_NM)},
            {"angle_deg": f"null|{_ABOVE_0}|{_list_of(_ABOVE_0)}"},
        ),
    ),
    (shapes.READING, _object({"value": _NUMBER, "unit": _TEXT}, {"points": _TEXT})),
)
_ONE_OF = "one of "


def written(shape: Shape, *, may: bool = False) -> str:
    """A shape as the page reads it; `may`: the field may be null, or be left out.

    Raises:
        LookupError: a shape that is not written out here yet.
    """
    return f"^(?:{_pattern(shape)}{'|null|undefined' if may else ''})$"


def _pattern(shape: Shape) -> str:
    for known, pattern in _WRITTEN:
        if known is shape:
            return pattern
    if not shape.says.startswith(_ONE_OF):
        raise LookupError(f"no shape for the page: {shape.says}")
    return _words(shape.says.removeprefix(_ONE_OF).split(", "))
