"""One idea: an unquoted word is a number, true, false, nothing or text by the YAML 1.2 core schema, and no other.

So `yes`, `on` and `12:30` stay text, and `010` is ten. Source: YAML 1.2.2 (2021), section 10.3.2, tag resolution.
"""

import re
from typing import Final

_FIRST: Final = frozenset("~nNtTfF.+-0123456789")
_CONSTANTS: Final[dict[str, bool | None]] = {
    "": None,
    "~": None,
    "null": None,
    "Null": None,
    "NULL": None,
    "true": True,
    "True": True,
    "TRUE": True,
    "false": False,
    "False": False,
    "FALSE": False,
}
_WHOLE = re.compile(r"[-+]?[0-9]+")
_OCTAL = re.compile(r"0o[0-7]+")
_HEXADECIMAL = re.compile(r"0x[0-9a-fA-F]+")
_DECIMAL = re.compile(r"[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?")
_INFINITE = re.compile(r"[-+]?(?:\.inf|\.Inf|\.INF)")
_NO_NUMBER = re.compile(r"\.nan|\.NaN|\.NAN")
_MOST_DIGITS: Final = 400


def resolve(text: str) -> str | int | float | bool | None:
    """What an unquoted word means.

    >>> [resolve(word) for word in ("yes", "true", "010", "0o10", "12:30", "1e3", "~")]
    ['yes', True, 10, 8, '12:30', 1000.0, None]
    """
    if text and text[0] not in _FIRST:
        return text
    if text in _CONSTANTS:
        return _CONSTANTS[text]
    if _WHOLE.fullmatch(text):
        return int(text) if len(text) <= _MOST_DIGITS else float(text)
    if _OCTAL.fullmatch(text):
        return int(text[2:], 8)
    if _HEXADECIMAL.fullmatch(text):
        return int(text[2:], 16)
    return _resolve_fraction(text)


def _resolve_fraction(text: str) -> str | float:
    if _DECIMAL.fullmatch(text):
        return float(text)
    if _INFINITE.fullmatch(text):
        return float("-inf") if text.startswith("-") else float("inf")
    return float("nan") if _NO_NUMBER.fullmatch(text) else text
