"""One idea: a thread's designation is read only where it can mean one thing; otherwise its readings are asked back.

`M8x1.25` is a pitch, `M8x40` a length, because 1.25 is a pitch of M8 by ISO 261 and 40 is not. What is neither, such
as `M10x2`, is asked. In a car file the figure behind an M size is always a length (`core.thread`); this is for people.
"""

import re
from dataclasses import dataclass

from putback.core.fasten.answer import NotComputable
from putback.core.fasten.sizes import METRIC, UNIFIED, MetricSize
from putback.core.thread import INCHES, inches_mm

METRIC_SYSTEM, UNIFIED_SYSTEM = "metric", "unified"

_FIGURE = r"\d+(?:[.,]\d+)?"
_CLASS = r"(?:\s*mm)?(?:\s*-\s*\d[a-h](?:\d[a-h])?)?"
_METRIC = re.compile(
    rf"(M?)\s*({_FIGURE})(?:\s*([x-]|\s)\s*({_FIGURE}))?(?:\s*x\s*({_FIGURE}))?{_CLASS}", re.IGNORECASE
)
_INCH = rf"{INCHES}|\.\d+"
_UNIFIED = re.compile(
    rf"(#?\d+(?:/\d+)?|\d+[ -]\d+/\d+)(?:\s*-\s*(\d+))?\s*(UNC|UNF|UNEF|UN)?(?:\s*-?\s*[123][AB])?"
    rf"(?:\s*x\s*({_INCH})\s*(in|mm|\")?)?",
    re.IGNORECASE,
)
LONGEST_IN = 12
"""A longer bolt of an inch thread is asked about: its length may be in millimetres (common practice, no source)."""
_PIPE = re.compile(r"(R|G|Rp|Rc|Tr|ST|W)\s?\d.*|.*(NPT|BSP|Tr).*", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Designation:
    """A thread and length that were read for certain. Lengths in mm; `name` is the thread without a length."""

    name: str
    system: str
    diameter_mm: float
    pitch_mm: float
    length_mm: float | None
    coarse: bool

    @property
    def threads_per_inch(self) -> float:
        """25.4 over the pitch."""
        return 25.4 / self.pitch_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """A designation that can mean several things, or none: what it might mean, to choose from."""

    text: str
    why: str
    readings: tuple[str, ...]

    def __str__(self) -> str:
        """The question in words."""
        choices = f"; did you mean {' or '.join(self.readings)}?" if self.readings else ""
        return f"{self.text!r} {self.why}{choices}"


def read_designation(text: str) -> Designation | Question:
    """Read a thread's designation: metric or unified, with or without pitch and length.

    >>> read_designation("M8x1.25x40").length_mm
    40.0
    >>> read_designation("M8x40").pitch_mm
    1.25
    >>> read_designation("1/4-20 UNC").name
    '1/4-20'
    >>> str(read_designation("M10x2"))
    "'M10x2' has a figure that is no pitch of M10 and too short for a length; did you mean M10x1.5x2 or M10x1.5?"
    """
    clean = " ".join(text.strip().replace("×", "x").replace("X", "x").split())
    metric, unified = _METRIC.fullmatch(clean), _UNIFIED.fullmatch(clean)
    if metric and (metric[1] or not unified or (unified[2] is None and unified[1].isdigit())):
        return _metric(text, metric)
    if _PIPE.fullmatch(clean):
        return Question(text=text, why="is no metric or unified thread", readings=())
    if unified:
        return _unified(text, unified)
    return Question(text=text, why="is no designation", readings=("M8x1.25", "M8x40", "1/4-20 UNC"))


def designation(text: str) -> Designation:
    """The same for where there is nobody to ask.

    Raises:
        NotComputable: it can mean several things, or none.
    """
    read = read_designation(text)
    if isinstance(read, Question):
        choices = " or ".join(read.readings)
        raise NotComputable(f"{read.text!r} {read.why}", f"write {choices}" if choices else "write such as M8x1.25")
    return read


def _number(text: str | None) -> float | None:
    return None if text is None else float(text.replace(",", "."))


def _metric(text: str, match: re.Match[str]) -> Designation | Question:
    letter, joiner = match[1], match[3]
    size, first, second = (_number(match[at]) for at in (2, 4, 5))
    assert size is not None
    if size not in METRIC:
        near = sorted(METRIC, key=lambda one: abs(one - size))[:2]
        return Question(text=text, why="is no size of ISO 261", readings=tuple(f"M{one:g}" for one in sorted(near)))
    if not letter or (joiner and joiner not in "xX-"):
        rest = "" if first is None else f"x{first:g}"
        return Question(text=text, why="is not written as a metric thread is", readings=(f"M{size:g}{rest}",))
    return _of_size(text, METRIC[size], first, second, sure=joiner == "-")


def _of_size(
    text: str, known: MetricSize, first: float | None, second: float | None, *, sure: bool
) -> Designation | Question:
    """The figures after a size: pitch and length, or one of them; `sure`: the first can only be a pitch."""
    size, pitches = known.diameter_mm, known.pitches_mm
    if 0 in (first, second):
        return Question(text=text, why="has a zero in it", readings=())
    if first is not None and (second is not None or sure) and first not in pitches:
        names = tuple(f"M{size:g}x{one:g}" + ("" if second is None else f"x{second:g}") for one in pitches)
        return Question(text=text, why=f"has a pitch that M{size:g} has not in ISO 261", readings=names)
    if first in pitches:
        return _made(size, first, second)
    if first is not None and first < size / 2:
        why = f"has a figure that is no pitch of M{size:g} and too short for a length"
        names = (f"M{size:g}x{pitches[0]:g}x{first:g}", f"M{size:g}x{pitches[0]:g}")
        return Question(text=text, why=why, readings=names)
    if known.coarse_mm is None:
        end = "" if first is None else f"x{first:g}"
        names = tuple(f"M{size:g}x{one:g}{end}" for one in pitches)
        return Question(text=text, why=f"has no pitch, and M{size:g} has no coarse one", readings=names)
    return _made(size, known.coarse_mm, first)


def _made(size: float, pitch: float, length: float | None) -> Designation:
    return Designation(
        name=f"M{size:g}x{pitch:g}",
        system=METRIC_SYSTEM,
        diameter_mm=size,
        pitch_mm=pitch,
        length_mm=length,
        coarse=pitch == METRIC[size].coarse_mm,
    )


def _unified(text: str, match: re.Match[str]) -> Designation | Question:
    size, per_inch, series, length, unit = match.groups()
    size = size.replace(" ", "-")
    series = (series or "").upper()
    known = [
        (one, name, threads)
        for one in (size, f"#{size}")
        if one in UNIFIED
        for name, threads in UNIFIED[one].threads.items()
    ]
    fitting = [
        (one, name, threads)
        for one, name, threads in known
        if (per_inch is None or threads == int(per_inch)) and series in ("", "UN", name)
    ]
    if len(fitting) != 1:
        names = tuple(f"{one}-{threads} {name}" for one, name, threads in fitting or known)
        why = "can be several threads" if fitting else "is in no table of UNC, UNF or UNEF"
        return Question(text=text, why=why, readings=names)
    ((one, name, threads),) = fitting
    long_mm = None if length is None else _length_mm(length, (unit or "").lower())
    if long_mm == 0:
        return Question(text=text, why="has a length of zero", readings=())
    if long_mm is not None and not unit and long_mm > LONGEST_IN * 25.4:
        names = (f"{one}-{threads} x {length} mm", f"{one}-{threads} x {length} in")
        return Question(text=text, why="has a length in millimetres or in inches", readings=names)
    return Designation(
        name=f"{one}-{threads}",
        system=UNIFIED_SYSTEM,
        diameter_mm=UNIFIED[one].diameter_in * 25.4,
        pitch_mm=25.4 / threads,
        length_mm=long_mm,
        coarse=name == "UNC",
    )


def _length_mm(text: str, unit: str) -> float:
    """A length behind an inch thread, in inches unless it says mm, [mm]; 0 where it is none."""
    if re.search(r"/0+$", text):
        return 0.0
    return round(inches_mm(text) / (25.4 if unit == "mm" else 1), 6)
