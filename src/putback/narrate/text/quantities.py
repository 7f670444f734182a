"""One idea: a size, a torque, a time and a count are told apart by the word after the number, and none is made up.

A self-correction ("four, no, five") counts as its last word.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum, auto
from fractions import Fraction

from putback.narrate.text.numbers import TENS, UNITS, Number, number_at
from putback.narrate.text.tokens import Token
from putback.narrate.words.lexicon import words_of


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
    """A quantity of the tokens from `first` up to `after`, as it is written: `10mm`, `22Nm`, `5`.

    `many`: said of several things that it stands for, `tens`.
    """

    of: Of
    text: str
    number: Number
    first: int
    after: int
    many: bool = False


MILLIMETRES = frozenset(
    {"mm", "mil", "mill", "mils", "mills", "millimeter", "millimetre", "millimeters", "millimetres"}
)
INCHES = frozenset({"inch", "inches", '"', "″"})
DRIVES = {"hex": "hex", "allen": "hex", "hexagon": "hex"}
_NO_WIDTH = words_of("gun impact long longer drive extension ratchet gap thick deep wide clearance apart")
"""After such a word a length is none of a head: `a half inch drive ratchet`."""
HEADS_MM = frozenset({6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 21, 22, 24, 27, 30, 32})
"""Widths across flats that bolts and nuts of vehicles have; `three tens` are of one of these."""
TENS_OF = {f"{word}s" if word != "six" else "sixes": n for word, n in UNITS.items() if n in HEADS_MM}
_STANDS_ALONE = (
    words_of("socket spanner wrench ratchet and or so then on with for to here there that's but if too")
    | words_of("i you we they as also each again out off")
    | {"", ".", ",", ";", "!", "?"}
)
_ONE_FASTENER = words_of("bolt nut screw")
_HEAD_WORDS = words_of("head heads headed")
"""`Six bolts, ten mil heads`: of what width the heads are."""
TORX = frozenset({"torx", "t", "star"})
TORQUE_UNITS: tuple[tuple[tuple[str, ...], str], ...] = (
    (("newton", "-", "metres"), "Nm"),
    (("newton", "-", "meters"), "Nm"),
    (("newton", "metres"), "Nm"),
    (("newton", "meters"), "Nm"),
    (("newton", "metre"), "Nm"),
    (("newton", "meter"), "Nm"),
    (("newtons",), "Nm"),
    (("newton",), "Nm"),
    (("nm",), "Nm"),
    (("n", "·", "m"), "Nm"),
    (("n", "-", "m"), "Nm"),
    (("foot", "pounds"), "lbft"),
    (("foot", "pound"), "lbft"),
    (("foot", "lbs"), "lbft"),
    (("feet", "pounds"), "lbft"),
    (("foot", "-", "pound"), "lbft"),
    (("pound", "foot"), "lbft"),
    (("pounds", "foot"), "lbft"),
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
    (("inch", "-", "pound"), "inlb"),
    (("pound", "inches"), "inlb"),
    (("pounds", "inches"), "inlb"),
    (("in", "lbs"), "inlb"),
    (("in", "lb"), "inlb"),
    (("in", "-", "lb"), "inlb"),
    (("in", "-", "lbs"), "inlb"),
    (("inlb",), "inlb"),
    (("inlbs",), "inlb"),
)
_TORQUES: dict[str, list[tuple[tuple[str, ...], str]]] = {}
for _unit, _short in TORQUE_UNITS:
    _TORQUES.setdefault(_unit[0], []).append((_unit, _short))
OTHER_UNITS = words_of(
    "volt volts v ohm ohms litre liter litres liters l quart quarts gallon gallons bar psi percent % amp amps k "
    "thousand hundred miles mile kilometres kilometers km pin way door doors times time o'clock year years old "
    "kilowatt kilowatts kw amps passes stages steps seconds second hour hours hundredths megohms turns turn cc watt "
    "watts class weeks days day "
    "inch-long"
)
_OF_THEM = words_of(
    "each every the that this last first other top bottom upper lower front rear left right inner outer middle long "
    "short any no second third which same new old big small little back"
)
"""`I gave each one twenty newton metres`: one of several, and no hundred."""
_TIMES = frozenset({"x", "×"})
_CROSS = frozenset({"pz", "ph"})
"""`PZ2`: which cross a screwdriver has."""
_LETTERED = frozenset({"m", "e"})
_TORX_SIZE = re.compile(r"t([1-9]\d?)(?:'?s)?")
_UNITS = {
    **dict.fromkeys(OTHER_UNITS, Of.OTHER),
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
    if low in TORX or _TORX_SIZE.fullmatch(low):
        return _torx(words, place)
    if low in _CROSS and place + 1 < len(words) and words[place + 1].start == words[place].end:
        number = number_at(words, place + 1)
        return Quantity(Of.OTHER, low.upper() + number.text, number, place, number.after) if number else None
    if low in _LETTERED and place + 1 < len(words) and words[place + 1].start == words[place].end:
        return _lettered(words, place)
    if low in _TIMES:
        return _times(words, place)
    if low in TENS_OF:
        return _head(place, place + 1, TENS_OF[low], many=True)
    number = number_at(words, place)
    return _of_number(words, number) if number is not None else None


def _of_number(words: Sequence[Token], number: Number) -> Quantity:
    hundreds = _said_in_hundreds(words, number)
    if hundreds is not None:
        return hundreds
    if _only_a_head(words, number):
        many = _is_s(words, number.after)
        return _head(number.first, number.after + many, int(number.value), many=many)
    after = number.after
    if after < len(words) and words[after].low == "-" and after + 1 < len(words):
        after += 1
    return _torque(words, number, after) or _length(words, number, after) or _plain(words, number, after)


def _torque(words: Sequence[Token], number: Number, after: int) -> Quantity | None:
    for unit, short in _TORQUES.get(words[after].low if after < len(words) else "", ()):
        if tuple(word.low for word in words[after : after + len(unit)]) == unit:
            return Quantity(Of.TORQUE, number.text + short, number, number.first, after + len(unit))
    return None


def _said_in_hundreds(words: Sequence[Token], number: Number) -> Quantity | None:
    """`One ten newton metres`, `one twenty five foot pounds`: hundreds said without the word."""
    low = words[number.first].low
    if number.after != number.first + 1 or not 0 < UNITS.get(low, 0) < 10:
        return None
    if low == "one" and number.first and words[number.first - 1].low in _OF_THEM:
        return None
    rest = number_at(words, number.after)
    if rest is None or rest.count is None or not 10 <= rest.count < 100 or words[rest.first].kind == "number":
        return None
    value = 100 * UNITS[low] + rest.count
    whole = Number(Fraction(value), number.first, rest.after, str(value))
    torque = _torque(words, whole, rest.after)
    ends = rest.after >= len(words) or words[rest.after].kind == "stop"
    return torque or (_plain(words, whole, rest.after) if ends and not words[rest.first].low.endswith("s") else None)


def _times(words: Sequence[Token], place: int) -> Quantity | None:
    """`X5`: so many of them."""
    number = number_at(words, place + 1)
    if number is None or number.count is None or words[place + 1].start != words[place].end:
        return None
    return Quantity(Of.COUNT, number.text, number, place, number.after)


def _lettered(words: Sequence[Token], place: int) -> Quantity | None:
    """`M8`, `E10`: a thread, or a star head that is gripped from outside."""
    number = number_at(words, place + 1)
    if number is None or number.count is None or number.value > 60:
        return None
    return Quantity(Of.SIZE, f"{words[place].low.upper()}{number.text}", number, place, number.after)


def _torx_of_many(words: Sequence[Token], place: int, after: int) -> Quantity | None:
    """`T thirties`."""
    tens = TENS.get(words[after].low.removesuffix("ies").removesuffix("ys") + "y") if after < len(words) else None
    if tens is None or tens > 60:
        return None
    return Quantity(
        Of.SIZE, f"T{tens}", Number(Fraction(tens), place, after + 1, str(tens)), place, after + 1, many=True
    )


def _head(first: int, after: int, millimetres: int, *, many: bool) -> Quantity:
    number = Number(Fraction(millimetres), first, after, str(millimetres))
    return Quantity(Of.SIZE, f"{millimetres}mm", number, first, after, many=many)


def _is_s(words: Sequence[Token], place: int) -> bool:
    """The s of `10s`."""
    return place < len(words) and words[place].low in {"s", "'s"} and words[place].start == words[place - 1].end


def _only_a_head(words: Sequence[Token], number: Number) -> bool:
    """`That's a ten`, `with a thirteen`, `10s`, `seventeen on the banjo bolt`: a width with its unit left out."""
    if number.value not in HEADS_MM:
        return False
    if _is_s(words, number.after):
        return True
    before = words[number.first - 1].low if number.first else ""
    following = [word.low for word in words[number.after : number.after + 4]]
    if before in {"a", "an", "that", "the", "this"} and following[:1] and following[0] in _ONE_FASTENER:
        return True
    if before in {"a", "an"}:
        return not following or following[0] in _STANDS_ALONE
    on_one = following[:2] == ["on", "the"] and not any(word.endswith("s") for word in following[2:])
    return on_one and before in {"", ".", ",", ";", "so", "okay", "then", "now", "and", "it's", "that's"}


def _length(words: Sequence[Token], number: Number, after: int) -> Quantity | None:
    """A number of millimetres or of an inch, said or only meant: `10 mm`, `five eighths`."""
    unit = words[after].low if after < len(words) else ""
    behind = words[after + 1].low if after + 1 < len(words) else ""
    if unit in DRIVES and number.value in HEADS_MM and behind in _STANDS_ALONE:
        return Quantity(Of.SIZE, f"{number.text}mm {DRIVES[unit]}", number, number.first, after + 1)
    if unit in MILLIMETRES:
        return _sized(words, number, after + 1, "mm")
    is_part = "/" in number.text and number.value < 2
    written = unit == "in" and is_part and words[number.first].kind == "number"
    if (unit in INCHES and (number.value < 2 or is_part)) or written:
        return _sized(words, number, after + 1, "in")
    return _sized(words, number, number.after, "in") if is_part and unit not in _UNITS else None


def _plain(words: Sequence[Token], number: Number, after: int) -> Quantity:
    """A number that is no size: of an angle, of minutes, of something else, or a count."""
    unit = words[after].low if after < len(words) else ""
    if unit in _UNITS:
        return Quantity(_UNITS[unit], number.text, number, number.first, after + 1)
    if unit in _TIMES and number.count is not None:
        return Quantity(Of.COUNT, number.text, number, number.first, after + 1)
    of = Of.COUNT if number.count is not None else Of.OTHER
    return Quantity(of, number.text, number, number.first, number.after)


def _sized(words: Sequence[Token], number: Number, after: int, unit: str) -> Quantity:
    drive = ""
    after = _across_flats(words, after)
    if after < len(words) and words[after].low in DRIVES:
        drive, after = " " + DRIVES[words[after].low], after + 1
    if _is_deep_socket(words, number, after):
        after += 1
    if after < len(words) and words[after].low in _NO_WIDTH:
        return Quantity(Of.OTHER, number.text, number, number.first, after + 1)
    if after < len(words) and words[after].low in _HEAD_WORDS:
        after += 1
    return Quantity(Of.SIZE, f"{number.text}{unit}{drive}", number, number.first, after)


def _is_deep_socket(words: Sequence[Token], number: Number, after: int) -> bool:
    """`Three nuts off, 14 mm deep.`: with which socket."""
    ends = after + 1 >= len(words) or words[after + 1].low in {".", ",", "socket"}
    return after < len(words) and words[after].low == "deep" and number.value in HEADS_MM and ends


def _across_flats(words: Sequence[Token], after: int) -> int:
    """The token after `across the flats`, `AF`."""
    lows = [word.low for word in words[after : after + 3]]
    if lows[:1] == ["af"]:
        return after + 1
    if lows[:2] == ["across", "flats"]:
        return after + 2
    return after + 3 if lows == ["across", "the", "flats"] else after


def _torx(words: Sequence[Token], place: int) -> Quantity | None:
    written = _TORX_SIZE.fullmatch(words[place].low)
    if written:
        number = Number(Fraction(written[1]), place, place + 1, written[1])
        return Quantity(Of.SIZE, f"T{written[1]}", number, place, place + 1, many=written[0].endswith("s"))
    after = place + 1
    if after < len(words) and words[after].low == "-":
        after += 1
    following = number_at(words, after)
    if following is None:
        return _torx_of_many(words, place, after)
    if following.count is None or not 5 <= following.count <= 100:
        return None
    many = _is_s(words, following.after)
    return Quantity(Of.SIZE, f"T{following.text}", following, place, following.after + many, many=many)
