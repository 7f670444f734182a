"""One idea: a number is taken as it was said, in digits or in words, and keeps the words it was said in."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from putback.narrate.text.tokens import Token

_UNITS = (
    "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen "
    "seventeen eighteen nineteen"
)
_TENS = "twenty thirty forty fifty sixty seventy eighty ninety"
UNITS = {word: n for n, word in enumerate(_UNITS.split())}
TENS = {word: 10 * n for n, word in enumerate(_TENS.split(), 2)}
_NOT_JUST_ONE = frozenset({"few", "several", "couple", "of", "many", "some"})
"""Before `hundred` such words leave open how many; without them it is one hundred: `hundred and forty`."""
_LONGEST = 12
"""So many signs a number of this trade has at most; longer rows of digits are no number."""
PARTS = {
    "half": 2,
    "halves": 2,
    "third": 3,
    "thirds": 3,
    "quarter": 4,
    "quarters": 4,
    "eighth": 8,
    "eighths": 8,
    "sixteenth": 16,
    "sixteenths": 16,
}


@dataclass(frozen=True, slots=True)
class Number:
    """A number of the tokens from `first` up to `after`. `text` is how it is written: `10`, `5.5`, `5/8`."""

    value: Fraction
    first: int
    after: int
    text: str

    @property
    def count(self) -> int | None:
        """The number as a count of things; None where it is none."""
        return int(self.value) if self.value.denominator == 1 and 0 < self.value < 1000 else None


def number_at(words: Sequence[Token], place: int) -> Number | None:
    """The longest number that begins at a token.

    >>> from putback.narrate.text.tokens import tokens
    >>> [number_at(tokens(said), 0).text for said in ("twenty two", "five point five", "five eighths", "2,4")]
    ['22', '5.5', '5/8', '2.4']
    """
    if place >= len(words):
        return None
    if words[place].kind == "number":
        return _digits(words[place].low, place)
    whole = _in_hundreds(words, place) or _whole(words, place)
    if whole is None:
        return _part_of_an_inch(words, place)
    value, after = whole
    part = _part(words, after)
    if part and value < part[0]:
        return Number(Fraction(value, part[0]), place, part[1], f"{value}/{part[0]}")
    mixed = _and_part(words, value, after)
    if mixed is not None:
        return Number(mixed[0], place, mixed[1], f"{float(mixed[0]):g}")
    decimals, end = _point(words, after)
    text = f"{value}.{decimals}" if decimals else str(value)
    return Number(Fraction(text), place, end, text)


def _in_hundreds(words: Sequence[Token], place: int) -> tuple[int, int] | None:
    """`One-oh-eight`, `two-sixteen`: hundreds said without the word, with hyphens; and the token after it."""
    first = UNITS.get(words[place].low, 0)
    after = _skip_hyphen(words, place + 1)
    if not 0 < first < 10 or after == place + 1 or after >= len(words):
        return None
    if words[after].low in {"oh", "o", "nought", "zero"}:
        last = _skip_hyphen(words, after + 1)
        unit = UNITS.get(words[last].low, 0) if last < len(words) else 0
        return (100 * first + unit, last + 1) if last > after + 1 and 0 < unit < 10 else None
    rest = _whole(words, after)
    return (100 * first + rest[0], rest[1]) if rest is not None and 10 <= rest[0] < 100 else None


def _part_of_an_inch(words: Sequence[Token], place: int) -> Number | None:
    """`Half inch`: a part of one inch, said without a number before it."""
    bottom = PARTS.get(words[place].low)
    after = _skip_hyphen(words, place + 1)
    if bottom is None or after >= len(words) or words[after].low != "inch":
        return None
    return Number(Fraction(1, bottom), place, place + 1, f"1/{bottom}")


def _and_part(words: Sequence[Token], value: int, place: int) -> tuple[Fraction, int] | None:
    """`Two and a half`, `two and three quarter`: a number with its part, and the token after it."""
    if place + 1 >= len(words) or words[place].low != "and":
        return None
    top, after = 1, place + 1
    if words[after].low == "a":
        after += 1
    elif 0 < UNITS.get(words[after].low, 0) < 10:
        top, after = UNITS[words[after].low], after + 1
    else:
        return None
    part = _part(words, after)
    return (value + Fraction(top, part[0]), part[1]) if part and top < part[0] else None


def _digits(low: str, place: int) -> Number | None:
    text = low.replace(",", ".")
    top, slash, bottom = text.partition("/")
    if len(low) > _LONGEST or (slash and ("." in top or int(bottom) == 0)):
        return None
    return Number(Fraction(text), place, place + 1, text)


def _whole(words: Sequence[Token], place: int) -> tuple[int, int] | None:
    """A whole number in words, and the token after it."""
    low = words[place].low
    if low == "hundred" and not (place and words[place - 1].low in _NOT_JUST_ONE):
        value, after = 1, place
    elif low in UNITS and low != "zero":
        value, after = UNITS[low], place + 1
    elif low in TENS:
        value, after = TENS[low], place + 1
        next_unit = _skip_hyphen(words, after)
        if next_unit < len(words) and 0 < UNITS.get(words[next_unit].low, 0) < 10:
            value, after = value + UNITS[words[next_unit].low], next_unit + 1
    else:
        return (0, place + 1) if low == "zero" else None
    if after < len(words) and words[after].low == "hundred":
        value, after = value * 100, after + 1
        start = after + 1 if after < len(words) and words[after].low == "and" else after
        rest = _whole(words, start) if start < len(words) else None
        if rest and rest[0] < 100:
            value, after = value + rest[0], rest[1]
    return value, after


def _skip_hyphen(words: Sequence[Token], place: int) -> int:
    return place + 1 if place < len(words) and words[place].low == "-" else place


def _part(words: Sequence[Token], place: int) -> tuple[int, int] | None:
    place = _skip_hyphen(words, place)
    if place < len(words) and words[place].low in PARTS:
        return PARTS[words[place].low], place + 1
    return None


def _point(words: Sequence[Token], place: int) -> tuple[str, int]:
    """Decimals that were said after `point`, and the token after them."""
    if place >= len(words) or words[place].low != "point":
        return "", place
    digits, after = "", place + 1
    while after < len(words) and UNITS.get(words[after].low, 10) < 10:
        digits, after = digits + str(UNITS[words[after].low]), after + 1
    return (digits, after) if digits else ("", place)
