"""One idea: what is written for a person's eye is read again as the same values by the reader of this program.

Text stands bare where it can mean nothing else, and in double quotes otherwise.
"""

import json
import re
from collections.abc import Mapping, Sequence
from typing import Final

from putback.adapters.car_file.scalars import resolve

Value = str | int | float | bool | None | Sequence["Value"] | Mapping[str, "Value"]

_BARE = re.compile(r"[A-Za-z][A-Za-z0-9_./·°²³-]*(?: [A-Za-z0-9_./·°²³-]+)*")
_NEVER_AS_THEY_ARE = re.compile("[\x7f-\x9f\u2028\u2029\ufffe\uffff\ufeff]")
_NO_TEXT = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff]")
_WIDEST: Final = 150


def value_text(value: Value) -> str:
    """A value on one line.

    >>> print(value_text({"n": 1, "object": "top cover", "size": "1/2, 10mm", "twin": None}))
    {n: 1, object: top cover, size: "1/2, 10mm", twin: null}
    """
    if value is None:
        return "null"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return word(value)
    if isinstance(value, int | float):
        return _number(value)
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{word(key)}: {value_text(one)}" for key, one in value.items()) + "}"
    return "[" + ", ".join(value_text(one) for one in value) + "]"


def word(text: str) -> str:
    """A text, in quotes unless it can be read in one way alone; signs that no text may hold are replaced.

    >>> word("top cover"), word("true"), word("10"), word('a "b": c')
    ('top cover', '"true"', '"10"', '"a \\\\"b\\\\": c"')
    """
    if _BARE.fullmatch(text) and isinstance(resolve(text), str):
        return text
    quoted = json.dumps(_NO_TEXT.sub("\ufffd", text), ensure_ascii=False)
    return _NEVER_AS_THEY_ARE.sub(lambda sign: f"\\u{ord(sign[0]):04x}", quoted)


def entries(group: Mapping[str, Value], indent: int) -> list[str]:
    """A group as lines, one for each key; values that are groups or long lists stand below it."""
    lines: list[str] = []
    blanks = " " * indent
    for key, value in group.items():
        line = f"{blanks}{word(key)}: {value_text(value)}"
        if isinstance(value, Mapping) and len(line) > _WIDEST:
            lines += [f"{blanks}{word(key)}:", *entries(value, indent + 2)]
        elif isinstance(value, Sequence) and not isinstance(value, str) and len(line) > _WIDEST:
            lines += [f"{blanks}{word(key)}:", *(f"{blanks}  - {value_text(one)}" for one in value)]
        else:
            lines.append(line)
    return lines


def _number(value: float) -> str:
    return str(int(value)) if value == int(value) and abs(value) < 1e15 else repr(value)
