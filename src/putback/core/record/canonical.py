"""One idea: one value has one spelling, byte for byte, so that its hash means something.

The spelling is RFC 8785 (JSON Canonicalization Scheme): members sorted by the UTF-16 code units of their names, no
blanks, the fewest escapes, numbers as ECMAScript writes them, UTF-8. Narrower than the RFC in two places: a whole
number outside ±(2^53 - 1) (RFC 7493, section 2.2) is refused and not rounded, and nesting ends at `DEEPEST`.
"""

import json
import math
from collections.abc import Mapping, Sequence
from decimal import Decimal
from types import MappingProxyType
from typing import Any, TypeAlias

Json: TypeAlias = "bool | int | float | str | Sequence[Json] | Mapping[str, Json] | None"

LARGEST_WHOLE = 2**53 - 1
DEEPEST = 32

_WORDS = {None: "null", True: "true", False: "false"}


class NotCanonical(ValueError):
    """A value that has no spelling, or a text that is no JSON. `what` says what is wrong, `path` where."""

    def __init__(self, what: str, path: str = "") -> None:
        super().__init__(f"{path or 'the value'} {what}")
        self.what = what
        self.path = path


def canonical_bytes(value: Json) -> bytes:
    """The one spelling of a value, as UTF-8.

    Raises:
        NotCanonical: a number that is not finite or too large to be exact, half of a surrogate pair, a name that is
            no text, a value of another type, or nesting deeper than `DEEPEST`.

    Source: RFC 8785, section 3.2.

    >>> canonical_bytes({"b": 4.50, "a": [True, None, 1e30]})
    b'{"a":[true,null,1e+30],"b":4.5}'
    """
    text = _spelled(value, "", 0)
    try:
        return text.encode("utf-8")
    except UnicodeEncodeError:
        raise NotCanonical("holds half of a surrogate pair") from None


def _spelled(value: Json, path: str, depth: int) -> str:
    if depth > DEEPEST:
        raise NotCanonical(f"is nested deeper than {DEEPEST}", path)
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False)
    if value is None or isinstance(value, bool):
        return _WORDS[value]
    if isinstance(value, int):
        return whole_text(value, path)
    if isinstance(value, float):
        return number_text(value, path)
    if isinstance(value, Mapping):
        return _members(value, path, depth)
    if isinstance(value, list | tuple):
        return "[" + ",".join(_spelled(one, f"{path}[{at}]", depth + 1) for at, one in enumerate(value)) + "]"
    raise NotCanonical(f"is {type(value).__name__}, which JSON does not have", path)


def _members(value: Mapping[str, Json], path: str, depth: int) -> str:
    """An object: its members in the order of the UTF-16 code units of their names (RFC 8785, section 3.2.3)."""
    if not all(isinstance(name, str) for name in value):
        raise NotCanonical("has a name that is no text", path)
    names = sorted(value, key=lambda name: name.encode("utf-16-be", "surrogatepass"))
    return (
        "{"
        + ",".join(
            f"{json.dumps(name, ensure_ascii=False)}:{_spelled(value[name], f'{path}.{name}', depth + 1)}"
            for name in names
        )
        + "}"
    )


def whole_text(value: int, path: str = "") -> str:
    """A whole number as text.

    Raises:
        NotCanonical: outside ±(2^53 - 1), where neighbours cannot be told apart (RFC 7493, section 2.2).
    """
    if abs(value) > LARGEST_WHOLE:
        raise NotCanonical(f"is {value}, beyond 2^53 - 1 where whole numbers stop being exact", path)
    return str(int(value))


def number_text(value: float, path: str = "") -> str:
    """A binary64 number as ECMAScript writes it: the fewest digits that read back as the same number.

    Raises:
        NotCanonical: not finite.

    Source: ECMA-262, Number::toString, by way of RFC 8785, section 3.2.2.3. Python's `repr` gives the same digits.

    >>> number_text(1e21), number_text(0.000001), number_text(-0.0), number_text(1e-7)
    ('1e+21', '0.000001', '0', '1e-7')
    """
    if not math.isfinite(value):
        raise NotCanonical(f"is {value}, which is no finite number", path)
    if value == 0:
        return "0"
    sign, digits, exponent = Decimal(repr(float(value))).normalize().as_tuple()
    text = "".join(map(str, digits))
    point = int(exponent) + len(text)
    return ("-" if sign else "") + _laid_out(text, point)


def _laid_out(digits: str, point: int) -> str:
    """Digits with their decimal point after `point` of them, in the layout of ECMA-262."""
    if len(digits) <= point <= 21:
        return digits + "0" * (point - len(digits))
    if 0 < point <= 21:
        return f"{digits[:point]}.{digits[point:]}"
    if -6 < point <= 0:
        return f"0.{'0' * -point}{digits}"
    mantissa = digits if len(digits) == 1 else f"{digits[0]}.{digits[1:]}"
    return f"{mantissa}e{'+' if point > 0 else '-'}{abs(point - 1)}"


def read_json(content: bytes | str) -> Json:
    """Read JSON strictly: what is read can be spelled again, and means what was written.

    Raises:
        NotCanonical: no UTF-8, no JSON, a name twice in one object, NaN or Infinity, a whole number that no binary64
            number holds exactly, nesting deeper than `DEEPEST`.
    """
    try:
        text = content if isinstance(content, str) else content.decode("utf-8")
        value: Json = json.loads(
            text, object_pairs_hook=_once, parse_int=_whole, parse_float=_finite, parse_constant=_no_constant
        )
    except UnicodeDecodeError as error:
        raise NotCanonical(f"is no UTF-8 at byte {error.start}") from None
    except json.JSONDecodeError as error:
        raise NotCanonical(f"is no JSON: {error.msg} at character {error.pos}") from None
    except RecursionError:
        raise NotCanonical(f"is nested deeper than {DEEPEST}") from None
    _spelled(value, "", 0)
    return value


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) < len(pairs):
        raise NotCanonical("has one name twice")
    return found


def _whole(text: str) -> int | float:
    """A whole number; beyond 2^53 - 1 only one that binary64 holds exactly, such as 1e20 spelled out."""
    if len(text) <= 16 and abs(int(text)) <= LARGEST_WHOLE:
        return int(text)
    value = _finite(text)
    if number_text(value) != text:
        raise NotCanonical(f"holds {text[:30]}, which no binary64 number holds exactly")
    return value


def _finite(text: str) -> float:
    value = float(text)
    if not math.isfinite(value):
        raise NotCanonical(f"holds {text[:30]}, which is too large")
    return value


def _no_constant(text: str) -> float:
    raise NotCanonical(f"holds {text}, which is no JSON")


def frozen(value: Json) -> Json:
    """The same value with nothing in it that can be changed: mappings read-only, lists as tuples."""
    if isinstance(value, Mapping):
        return MappingProxyType({name: frozen(one) for name, one in value.items()})
    if isinstance(value, list | tuple):
        return tuple(frozen(one) for one in value)
    return value
