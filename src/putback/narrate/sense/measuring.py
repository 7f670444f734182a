"""One idea: what is measured is told by a gauge and where it was put, or by a part and a reading.

`I put the meter across the motor`, `earth strap to body: 0.2 ohm`, `14.2 volts at the post now`, `the gap is 56 thou`.
"""

from collections.abc import Sequence
from itertools import pairwise

from putback.core.operations import Verb
from putback.narrate.phrase.phrases import Piece, Sort
from putback.narrate.sense.known import TELL_MORE, Heads, Known, Rule, done_to, first_name, placed, put_on_it
from putback.narrate.sense.parts_of import FLOWS
from putback.narrate.sense.things import singular
from putback.narrate.text.quantities import Of
from putback.narrate.words.lexicon import FASTENERS, Sense, words_of

_GAUGES = words_of(
    "ruler rule gauge vernier micrometer dial feeler feelers straightedge straight-edge thermometer refractometer "
    "rulers gauges ohmmeter voltmeter meter multimeter hydrometer megger mic spirit-level pyrometer callipers"
)
"""What a figure is read from."""
_GAUGES_IN_TWO = (
    ("temperature", "gun"),
    ("load", "tester"),
    ("insulation", "tester"),
    ("dial", "indicator"),
    ("infrared", "gun"),
    ("spirit", "level"),
    ("steel", "rule"),
    ("test", "strip"),
    ("straight", "edge"),
    ("moisture", "meter"),
)
_SAYS = words_of("says say said reads read reading shows show showing showed gives gave")
GAUGE_WORDS = _GAUGES | {two for _, two in _GAUGES_IN_TWO}
"""Where none of these is said, no gauge was."""
_MEASURABLE = words_of(
    "height depth thickness run-out runout play resistance voltage pressure backlash gap clearance temperature "
    "insulation"
)
_SEEN = words_of("getting get got see saw showing reading")
_READINGS = words_of(
    "volt volts v ohm ohms bar psi percent % amp amps milliamps hundredths tenths thou degrees degree hertz "
    "kilopascal megohms meg megs celsius fahrenheit millivolts"
)
_GOES = words_of("out off on in apart free away loose back tight home aside down up over past through")
_SEEN_AT = words_of("seen now across between at coming")
_TOLD_BY = words_of("reads read shows showed measures measured gave says is")
_OF_FIGURES = words_of("ohm milliohm megohm volt amp millivolt resistance")
_AGAIN = (["meter", "again"], ["measured", "again"], ["metered", "again"])
_FEW = 6


def metered(parts: Sequence[Piece], heads: Heads, words: Sequence[str]) -> Known | None:
    """`I put the meter across the motor, two ohms`, `a ruler on the pads`, `clamp meter says ten amps`."""
    del words
    gauge = next((n for n, piece in enumerate(parts) if _is_gauge(piece)), None)
    if gauge is None:
        return None
    del heads
    following = parts[gauge + 1].low if gauge + 1 < len(parts) else ""
    if following in _SAYS and parts[gauge].sort is Sort.NAME:
        of = first_name(parts, _GAUGES)
        return done_to(Verb.MEASURE, of)
    within = parts[gauge].head == "thermometer" and following == "in"
    of = (
        placed(parts[gauge:], _GAUGES)
        or placed(parts[:gauge], _GAUGES)
        or (first_name(parts[gauge + 1 :]) if within else None)
    )
    checked = any(piece.sense in (Sense.CHECK, Sense.INSPECT, Sense.PROVE) for piece in parts[:gauge])
    if of is None and checked:
        of = first_name(parts[:gauge], _GAUGES)
    if of is None and [one.low for one in parts[gauge + 1 : gauge + 3]] == ["in", "there"]:
        return Known(Verb.MEASURE, last=True)
    if of is None and gauge and parts[gauge - 1].low == "on" and {piece.low for piece in parts} & _SEEN:
        return Known(Verb.MEASURE, last=True)
    if of is None and gauge < len(parts) - 2 and put_on_it(parts[gauge + 1 :]):
        return Known(Verb.MEASURE, last=True)
    return Known(Verb.MEASURE, of.low, of) if of is not None else None


def _is_gauge(piece: Piece) -> bool:
    """Whether a piece names what a figure is read from."""
    if piece.quantity is not None:
        return False
    named = {singular(word) for word in (piece.low, *piece.words)} & _GAUGES or piece.words[-2:] in _GAUGES_IN_TWO
    return bool(named) and not set(piece.words) & FLOWS


def _reading(parts: Sequence[Piece], heads: Heads, words: Sequence[str]) -> Known | None:
    """`Earth strap to body: 0.2 ohm`, `pack voltage, 214 volts`: a part and a reading, and nothing else."""
    del heads, words
    to_another = len(parts) > 1 and parts[1].low == "to"
    if not parts or parts[0].sort is not Sort.NAME or (parts[0].head in FASTENERS and not to_another):
        return None
    if parts[0].head in _MEASURABLE and parts[0].size is not None and len(parts) == 1:
        return Known(Verb.MEASURE, parts[0].low, parts[0])
    if any(piece.sort in TELL_MORE or piece.low in _GOES for piece in parts):
        return None
    figures = [piece for piece in parts if piece.quantity is not None and piece.quantity.of is not Of.TORQUE]
    last = figures[-1].quantity if figures and figures[-1] is parts[-1] else None
    reads = last is not None and last.of in (Of.OTHER, Of.ANGLE) and bool(set(parts[-1].words) & _READINGS)
    reads = reads or (parts[0].head in _MEASURABLE and bool(figures))
    return Known(Verb.MEASURE, parts[0].low, parts[0]) if reads else None


def _is_figure(piece: Piece) -> bool:
    """`4 ohms`, `56 thou`: a number with the unit of a reading, and not nothing."""
    if piece.sort is Sort.NAME:
        return piece.count is not None and piece.head in _READINGS
    one = piece.quantity
    return one is not None and one.of is Of.OTHER and one.number.value > 0 and bool(set(piece.words) & _READINGS)


def _figure_first(parts: Sequence[Piece], heads: Heads, words: Sequence[str]) -> Known | None:
    """`11.9 volts seen at the post`, `0.9 ohm across the old cable`, `0.1 ohm now`."""
    del heads
    if not parts or not _is_figure(parts[0]) or not set(words) & _SEEN_AT:
        return None
    if any(piece.sort in TELL_MORE and piece.low not in _SEEN_AT | _SEEN for piece in parts):
        return None
    of = first_name(parts[1:], _GAUGES | _SEEN_AT)
    return done_to(Verb.MEASURE, of) if of is not None or "now" in words else None


def _says_figure(parts: Sequence[Piece], heads: Heads, words: Sequence[str]) -> Known | None:
    """`The motor reads 4 ohms`, `number three gap is 56 thou`, `it measured eleven millimetres`."""
    del heads, words
    at = next((n for n, piece in enumerate(parts) if n and piece.low in _TOLD_BY), None)
    if at is None or at + 1 >= len(parts):
        return None
    figure, by = parts[at + 1], parts[at].low
    width = by.startswith("measured") and figure.quantity is not None and figure.quantity.of is Of.SIZE
    if not (_is_figure(figure) or width) or any(p.sort in (Sort.SUBJECT, Sort.IF, Sort.NOT) for p in parts):
        return None
    of = next((piece for piece in parts[:at] if piece.sort is Sort.NAME), None)
    if by == "is" and (of is None or of.head not in _MEASURABLE):
        return None
    return done_to(Verb.MEASURE, of)


def _figures_of(parts: Sequence[Piece], heads: Heads, words: Sequence[str]) -> Known | None:
    """`Winding ohms on both motors`, `milliohms across it`, `meter again`."""
    del heads
    if list(words[:2]) in _AGAIN and len(words) <= _FEW:
        return Known(Verb.MEASURE, last=True)
    named = [piece for piece in parts[:2] if piece.sort is Sort.NAME and singular(piece.head) in _OF_FIGURES]
    if not named or named[0].count is not None or len(parts) > _FEW:
        return None
    if any(piece.sort in TELL_MORE for piece in parts[parts.index(named[0]) :]):
        return None
    across = any(one is named[0] and two.low in {"on", "across", "of", "between"} for one, two in pairwise(parts))
    of = first_name(parts[parts.index(named[0]) + 1 :])
    return done_to(Verb.MEASURE, of) if across else None


READINGS: tuple[Rule, ...] = (_reading, _figure_first, _says_figure, _figures_of)
"""What is tried after all that is known of a whole sentence."""
