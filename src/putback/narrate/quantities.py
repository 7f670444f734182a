"""One idea: a size, a torque, a time and a count are told apart by the word after the number, and none is made up.

A self-correction ("four, no, five") counts as its last word.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum, auto

from putback.narrate.lexicon import words_of
from putback.narrate.numbers import Number, number_at
from putback.narrate.tokens import Token


class Of(Enum):
    """What a number is of."""

    COUNT = auto()
    SIZE = auto()
    TORQUE = auto()
    ANGLE = auto()
    MINUTES = auto()
    OTHER = auto()


@dataclass(frozen=True, slots=True)
class Quantity:
    """A quantity of the tokens from `first` up to `after`, as it is written: `10mm`, `22Nm`, `5`."""

    of: Of
    text: str
    number: Number
    first: int
    after: int


MILLIMETRES = frozenset(
    {"mm", "mil", "mill", "mils", "mills", "millimeter", "millimetre", "millimeters", "millimetres"}
)
INCHES = frozenset({"in", "inch", "inches", '"', "″"})
DRIVES = {"hex": "hex", "allen": "hex", "hexagon": "hex"}
SOCKET_ONLY = frozenset({"socket", "spanner", "wrench", "ring", "ratchet"})
TORX = frozenset({"torx", "t", "star"})
_TORQUES: tuple[tuple[tuple[str, ...], str], ...] = (
    (("newton", "metres"), "Nm"),
    (("newton", "meters"), "Nm"),
    (("newton", "metre"), "Nm"),
    (("newton", "meter"), "Nm"),
    (("newtons",), "Nm"),
    (("nm",), "Nm"),
    (("n", "·", "m"), "Nm"),
    (("n", "-", "m"), "Nm"),
    (("foot", "pounds"), "lbft"),
    (("foot", "pound"), "lbft"),
    (("foot", "lbs"), "lbft"),
    (("ft", "lbs"), "lbft"),
    (("ft", "lb"), "lbft"),
    (("ft", ".", "lbs"), "lbft"),
    (("ft", "-", "lbs"), "lbft"),
    (("ft", "-", "lb"), "lbft"),
    (("foot", "-", "pounds"), "lbft"),
    (("pound", "feet"), "lbft"),
    (("pounds", "feet"), "lbft"),
    (("pound", "-", "feet"), "lbft"),
    (("lb", "ft"), "lbft"),
    (("lbs", "ft"), "lbft"),
    (("lb", "-", "ft"), "lbft"),
    (("lbft",), "lbft"),
    (("ftlb",), "lbft"),
    (("ftlbs",), "lbft"),
    (("inch", "pounds"), "inlb"),
    (("inch", "-", "pounds"), "inlb"),
    (("inch", "pound"), "inlb"),
    (("inch", "lbs"), "inlb"),
    (("in", "lbs"), "inlb"),
    (("in", "lb"), "inlb"),
    (("in", "-", "lb"), "inlb"),
    (("in", "-", "lbs"), "inlb"),
    (("inlb",), "inlb"),
    (("inlbs",), "inlb"),
)
_OTHER = words_of(
    "volt volts v ohm ohms litre liter litres liters l quart quarts gallon gallons bar psi percent % amp amps k "
    "thousand hundred miles mile kilometres kilometers km pin way door doors times time o'clock year years old "
    "seconds second hour hours hundredths megohms turns turn cc watt watts class weeks days day inch-long"
)
_UNITS = {
    **dict.fromkeys(_OTHER, Of.OTHER),
    **dict.fromkeys(["degrees", "degree", "°", "deg"], Of.ANGLE),
    **dict.fromkeys(["minutes", "minute", "mins", "min"], Of.MINUTES),
}


def quantities(words: Sequence[Token]) -> dict[int, Quantity]:
    """Every quantity of a text, by the token with which it begins."""
    found: dict[int, Quantity] = {}
    place = 0
    while place < len(words):
        one = _at(words, place)
        if one is None:
            place += 1
            continue
        found[one.first] = one
        place = one.after
    return found


def _at(words: Sequence[Token], place: int) -> Quantity | None:
    low = words[place].low
    if low in TORX or (low[:1] == "t" and low[1:].isdigit() and len(low) < 4):
        return _torx(words, place)
    number = number_at(words, place)
    if number is None:
        return None
    after = number.after
    if after < len(words) and words[after].low == "-" and after + 1 < len(words):
        after += 1
    for unit, short in _TORQUES:
        if tuple(word.low for word in words[after : after + len(unit)]) == unit:
            return Quantity(Of.TORQUE, number.text + short, number, place, after + len(unit))
    return _length(words, number, after) or _plain(words, number, after)


def _length(words: Sequence[Token], number: Number, after: int) -> Quantity | None:
    """A number of millimetres or of an inch, said or only meant: `10 mm`, `five eighths`."""
    unit = words[after].low if after < len(words) else ""
    if unit in MILLIMETRES:
        return _sized(words, number, after + 1, "mm")
    is_part = "/" in number.text and number.value < 2
    if unit in INCHES and (number.value < 2 or is_part):
        return _sized(words, number, after + 1, "in")
    return _sized(words, number, number.after, "in") if is_part and unit not in _UNITS else None


def _plain(words: Sequence[Token], number: Number, after: int) -> Quantity:
    """A number that is no size: of an angle, of minutes, of something else, or a count."""
    unit = words[after].low if after < len(words) else ""
    if unit in _UNITS:
        return Quantity(_UNITS[unit], number.text, number, number.first, after + 1)
    of = Of.COUNT if number.count is not None else Of.OTHER
    return Quantity(of, number.text, number, number.first, number.after)


def _sized(words: Sequence[Token], number: Number, after: int, unit: str) -> Quantity:
    drive = ""
    if after < len(words) and words[after].low in DRIVES:
        drive, after = " " + DRIVES[words[after].low], after + 1
    if after < len(words) and words[after].low == "long":
        return Quantity(Of.OTHER, number.text, number, number.first, after + 1)
    return Quantity(Of.SIZE, f"{number.text}{unit}{drive}", number, number.first, after)


def _torx(words: Sequence[Token], place: int) -> Quantity | None:
    low = words[place].low
    if low[1:].isdigit():
        number = Number(number_at([Token(low[1:], 0, 0, "number")], 0).value, place, place + 1, low[1:])  # type: ignore[union-attr]
        return Quantity(Of.SIZE, f"T{low[1:]}", number, place, place + 1)
    after = place + 1
    if after < len(words) and words[after].low == "-":
        after += 1
    following = number_at(words, after)
    if following is None or following.count is None or not 5 <= following.count <= 100:
        return None
    return Quantity(Of.SIZE, f"T{following.text}", following, place, following.after)
