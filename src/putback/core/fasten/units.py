"""One idea: a unit is never guessed, and a figure keeps the unit and the digits that its source gave it.

Factors are exact by definition: the pound 0.45359237 kg, the inch 25.4 mm, the foot 12 in, standard gravity
9.80665 m/s2, the kilogram-force 9.80665 N (NIST SP 811 (2008), Appendix B.8; the yard and pound agreement of 1959).
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType

from putback.core.fasten.answer import Formula, Input, Kind, NotComputable, Row
from putback.core.quantity import Torque

NIST = "NIST SP 811 (2008), Appendix B.8: exact by definition"

TORQUE, FORCE, STRESS, LENGTH, AREA = "torque", "force", "stress", "length", "area"

_INCH_M = Fraction("0.0254")
_FOOT_M = 12 * _INCH_M
_KGF_N = Fraction("9.80665")
_LBF_N = Fraction("0.45359237") * _KGF_N

_SI: Mapping[str, tuple[str, Fraction]] = MappingProxyType(
    {
        "N·m": (TORQUE, Fraction(1)),
        "N·cm": (TORQUE, Fraction(1, 100)),
        "cN·m": (TORQUE, Fraction(1, 100)),
        "N·mm": (TORQUE, Fraction(1, 1000)),
        "kN·m": (TORQUE, Fraction(1000)),
        "daN·m": (TORQUE, Fraction(10)),
        "lbf·ft": (TORQUE, _LBF_N * _FOOT_M),
        "lbf·in": (TORQUE, _LBF_N * _INCH_M),
        "ozf·in": (TORQUE, _LBF_N / 16 * _INCH_M),
        "kgf·m": (TORQUE, _KGF_N),
        "kgf·cm": (TORQUE, _KGF_N / 100),
        "N": (FORCE, Fraction(1)),
        "kN": (FORCE, Fraction(1000)),
        "kgf": (FORCE, _KGF_N),
        "lbf": (FORCE, _LBF_N),
        "kip": (FORCE, _LBF_N * 1000),
        "Pa": (STRESS, Fraction(1)),
        "kPa": (STRESS, Fraction(1000)),
        "MPa": (STRESS, Fraction(10**6)),
        "GPa": (STRESS, Fraction(10**9)),
        "bar": (STRESS, Fraction(10**5)),
        "psi": (STRESS, _LBF_N / _INCH_M**2),
        "ksi": (STRESS, _LBF_N * 1000 / _INCH_M**2),
        "m": (LENGTH, Fraction(1)),
        "mm": (LENGTH, Fraction(1, 1000)),
        "cm": (LENGTH, Fraction(1, 100)),
        "in": (LENGTH, _INCH_M),
        "ft": (LENGTH, _FOOT_M),
        "mm2": (AREA, Fraction(1, 10**6)),
        "cm2": (AREA, Fraction(1, 10**4)),
        "in2": (AREA, _INCH_M**2),
    }
)
"""By name: what it measures, and its size in the SI unit of that, exactly."""

_JOINERS = re.compile(r"[\s·*⋅\-_^]")
_OTHER_WORDS: Mapping[str, str] = MappingProxyType(
    {
        "nm": "N·m",
        "ftlb": "lbf·ft",
        "ftlbf": "lbf·ft",
        "ftlbs": "lbf·ft",
        "lbft": "lbf·ft",
        "inlb": "lbf·in",
        "inlbf": "lbf·in",
        "inlbs": "lbf·in",
        "lbin": "lbf·in",
        "inozf": "ozf·in",
        "inoz": "ozf·in",
        "ozin": "ozf·in",
        "kgm": "kgf·m",
        "mkg": "kgf·m",
        "kgcm": "kgf·cm",
    }
)
_BY_LETTERS: Mapping[str, str] = MappingProxyType({_JOINERS.sub("", name): name for name in _SI})
_BY_SOUND: Mapping[str, str] = MappingProxyType(
    {key.casefold(): name for key, name in reversed([*_BY_LETTERS.items()])}
)


def read_unit(text: str) -> str:
    """The unit that some text names, as this project spells it. A dot, a star, a blank or nothing may join its parts.

    Letters count: `mN` is not `MN`; where only the case differs from one known unit, that one is meant.

    Raises:
        NotComputable: no known unit.

    >>> read_unit("lbf*ft"), read_unit("ft-lb"), read_unit("Nm")
    ('lbf·ft', 'lbf·ft', 'N·m')
    """
    plain = _JOINERS.sub("", text)
    if plain in _BY_LETTERS:
        return _BY_LETTERS[plain]
    folded = plain.casefold()
    found = _OTHER_WORDS.get(folded) or _BY_SOUND.get(folded)
    if found is None:
        raise NotComputable(f"unit {text!r} is not known", f"one of {', '.join(_SI)}")
    return found


def convert(*, value: float, from_unit: str, to_unit: str) -> float:
    """A figure in another unit of the same kind.

    Args:
        value: the figure.
        from_unit: its unit.
        to_unit: the unit wanted.

    Raises:
        NotComputable: an unknown unit, or units of different kinds.

    Valid for: torque, force, stress, length, area. Source: NIST SP 811; the factors are exact.

    >>> convert(value=1, from_unit="lbf·ft", to_unit="N·m")
    1.3558179483314003
    >>> convert(value=1, from_unit="lbf·ft", to_unit="lbf·in")
    12.0
    """
    (kind, size), (other, whole) = _SI[read_unit(from_unit)], _SI[read_unit(to_unit)]
    if kind != other:
        raise NotComputable(f"{from_unit} measures {kind} and {to_unit} {other}", "name two units of one kind")
    return value * float(size / whole)


def ratio(*, over: float, under: float) -> float:
    """How many times one figure is another, a / b.

    >>> ratio(over=12, under=1)
    12.0
    """
    return over / under


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """A torque as its source gives it, digit for digit, with the SI value beside it to as many digits."""

    text: str
    unit: str
    torque_nm: float

    def __str__(self) -> str:
        """Both, the source's own first."""
        own = f"{self.text} {self.unit}"
        return own if self.unit == "N·m" else f"{own} ({_to_digits(self.torque_nm, _digits(self.text))} N·m)"


def kept(text: str, unit: str) -> Kept:
    """A torque with its own digits.

    >>> str(kept("18.0", "lbf*ft"))
    '18.0 lbf·ft (24.4 N·m)'
    >>> str(kept("24", "N·m"))
    '24 N·m'

    Raises:
        NotComputable: no number, no unit, or a unit of something else than torque.
    """
    name = read_unit(unit)
    if _SI[name][0] != TORQUE:
        raise NotComputable(f"{unit} is no unit of torque", "write such as N·m or lbf·ft")
    try:
        value = float(text)
    except ValueError:
        raise NotComputable(f"{text!r} is not a number", "write the figure as the source gives it") from None
    return Kept(text=text, unit=name, torque_nm=convert(value=value, from_unit=name, to_unit="N·m"))


def _digits(text: str) -> int:
    """How many digits a figure was given to; at least three, so that 18 lbf·ft is not 24 N·m."""
    bare = text.partition("e")[0].lstrip("+-").replace(".", "").lstrip("0")
    return max(3, len(bare))


def _to_digits(value: float, digits: int) -> str:
    """A value to some digits, without a power of ten.

    >>> _to_digits(24.40472, 3), _to_digits(677.9, 2), _to_digits(0.012345, 2)
    ('24.4', '680', '0.012')
    """
    rounded = float(f"{value:.{digits - 1}e}")
    places = max(0, digits - 1 - int(f"{value:e}".partition("e")[2]))
    return f"{rounded:.{places}f}"


SLIPS: tuple[tuple[str, str], ...] = (
    ("N·m", "lbf·ft"),
    ("lbf·in", "lbf·ft"),
    ("N·cm", "N·m"),
    ("cN·m", "N·m"),
    ("kgf·cm", "N·m"),
    ("kgf·m", "N·m"),
)
"""Units that are taken for each other, either way round (common practice, no source)."""

LEAST_NM, MOST_NM = 0.5, 400.0
"""Between these a torque on a car is plausible where nothing else is known (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitSlip:
    """What a torque would be if its unit were another: `times` as much."""

    unit: str
    torque_nm: float
    times: float

    @property
    def words(self) -> str:
        """The slip in words."""
        much = f"{self.times:.3g} times as much" if self.times > 1 else f"{1 / self.times:.3g} times less"
        return f"if the source means {self.unit}, it is {self.torque_nm:.3g} N·m, {much}: look at the unit again"


def slips(torque: Torque, *, least_nm: float = LEAST_NM, most_nm: float = MOST_NM) -> tuple[UnitSlip, ...]:
    """The mix-ups of unit that would give a plausible torque as well.

    Args:
        torque: as read.
        least_nm: what is plausible at the least, [N·m].
        most_nm: what is plausible at the most, [N·m]; of a known thread, both from `strength.plausible_nm`.

    >>> [slip.unit for slip in slips(Torque(value=24, unit="N·m"))]
    ['lbf·ft', 'kgf·cm', 'kgf·m']
    """
    return tuple(slip for slip in _slips(torque) if least_nm <= slip.torque_nm <= most_nm)


def _slips(torque: Torque) -> Iterator[UnitSlip]:
    for pair in SLIPS:
        if torque.unit in pair:
            other = pair[1 - pair.index(torque.unit)]
            torque_nm = convert(value=torque.value, from_unit=other, to_unit="N·m")
            yield UnitSlip(unit=other, torque_nm=torque_nm, times=torque_nm / torque.torque_nm)


_ANY = Input(name="value", to="value", what="the figure", unit="from")

FORMULAS: tuple[Formula, ...] = (
    Formula(
        name="convert",
        what="a figure in another unit",
        inputs=(
            _ANY,
            Input(name="from", to="from_unit", what="its unit", unit="such as lbf*ft", kind=Kind.TEXT),
            Input(name="to", to="to_unit", what="the unit wanted", unit="such as N*m", kind=Kind.TEXT),
        ),
        unit="as asked",
        unit_of=lambda *, to_unit, **_: to_unit.strip(),
        work=convert,
        source=NIST,
        valid="torque, force, stress, length, area; two units of one kind",
    ),
    Formula(
        name="ratio",
        what="how many times one figure is another, a / b",
        inputs=(
            Input(name="a", to="over", what="the one", unit="any"),
            Input(name="b", to="under", what="the other", unit="the same"),
        ),
        unit="x",
        work=ratio,
        source="arithmetic",
        valid="two figures of one kind in one unit; b not zero",
    ),
)

TABLES: tuple[Row, ...] = ()
