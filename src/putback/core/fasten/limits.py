"""One idea: how thin a thread may really be stands in the standard's tables; a size that is in none is not derived.

6g bolts and 6H holes of ISO 965-2 (ASME B1.13M), 2A bolts and 2B holes of ASME B1.1, before coating. Strength is
worked out from the thinnest bolt in the widest hole (minimum material): basic sizes overstate it by a quarter.

What was not read on a page says "from memory"; the tests hold every line against the standards' tolerance formulas.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from putback.core.fasten.answer import NotComputable, Row

MM_PER_INCH = 25.4
_MEMORY, _SEEN = "from memory", "seen"

SOURCES: Mapping[str, str] = MappingProxyType(
    {
        "a": "apporo-cnc.com metric external thread chart 6g (agrees with amesweb.info where seen)",
        "o": "oeandl.com thread size reference guide, metric external thread chart 6g",
        "e": "engineersedge.com/hardware/metric-internal-thread-sizes1.htm (ANSI/ASME B1.13M 6H)",
        "b": "ASME B1.13M values as in PyPI screw_thread_lib 0.0.6",
        "u": "ASME B1.1-2019 values as in PyPI screw_thread_lib 0.0.6",
        "s": "internal thread dimensions for UNC, 2B, scribd.com/document/395466526",
        "m": "ISO 965-2, from memory",
        "n": "ASME B1.1, from memory",
    }
)

# bolt's least major and pitch diameter, hole's greatest minor and pitch diameter; a letter for bolt and hole each.
# M12x1.75: the package prints 10.674 for the bolt's pitch diameter, where the standard's tolerance gives 10.679.
_METRIC_MM = """
M3x0.5   2.874  2.580  2.599  2.775 am | M3.5x0.6 3.354  3.004  3.010  3.222 am | M4x0.7 3.838 3.433 3.422 3.663 am
M4x0.5   3.874  3.580  3.599  3.775 am | M5x0.8   4.826  4.361  4.334  4.605 am | M5x0.5 4.874 4.580 4.599 4.775 am
M6x1     5.794  5.212  5.153  5.500 am | M6x0.75  5.838  5.391  5.378  5.645 am | M7x1   6.794 6.212 6.153 6.500 am
M8x1.25  7.760  7.042  6.912  7.348 ab | M8x1     7.794  7.212  7.153  7.500 am | M8x0.75 7.838 7.391 7.378 7.645 am
M9x1.25  8.760  8.042  7.912  8.348 ae | M10x1.5  9.732  8.862  8.676  9.206 ae
M10x1.25 9.760  9.042  8.912  9.348 ae | M10x1    9.794  9.212  9.153  9.500 ae | M10x0.75 9.838 9.391 9.378 9.645 ae
M12x1.75 11.701 10.679 10.441 11.063 me | M12x1.5  11.732 10.854 10.676 11.216 me
M12x1.25 11.760 11.028 10.912 11.368 oe | M12x1    11.794 11.206 11.153 11.510 oe
M14x2    13.682 12.503 12.210 12.913 me | M14x1.5  13.732 12.854 12.676 13.216 me
M14x1.25 13.760 13.028 12.912 13.368 mm
M16x2    15.682 14.503 14.210 14.913 mm | M16x1.5  15.732 14.854 14.676 15.216 mm
M18x2.5  17.623 16.164 15.744 16.600 mm | M18x2    17.682 16.503 16.210 16.913 mm
M18x1.5  17.732 16.854 16.676 17.216 mm
M20x2.5  19.623 18.164 17.744 18.600 bb | M20x2    19.682 18.503 18.210 18.913 mm
M20x1.5  19.732 18.854 18.676 19.216 mm
M22x2.5  21.623 20.164 19.744 20.600 mm | M22x2    21.682 20.503 20.210 20.913 mm
M22x1.5  21.732 20.854 20.676 21.216 mm
M24x3    23.577 21.803 21.252 22.316 bb | M24x2    23.682 22.493 22.210 22.925 mm
"""
_UNIFIED_IN = """
#4-40   0.1061 0.0925 0.0939 0.0991 ns | #4-48   0.1068 0.0954 0.0968 0.1016 nn
#5-40   0.1191 0.1054 0.1062 0.1121 ns | #5-44   0.1195 0.1070 0.1079 0.1134 nn
#6-32   0.1312 0.1141 0.1140 0.1214 ns | #6-40   0.1321 0.1184 0.1190 0.1252 nn
#8-32   0.1571 0.1399 0.1390 0.1475 ns | #8-36   0.1577 0.1424 0.1420 0.1496 nn
#10-24  0.1818 0.1586 0.155  0.1672 uu | #10-32  0.1831 0.1658 0.164  0.1736 uu
#12-24  0.2078 0.1845 0.181  0.1933 ns | #12-28  0.2085 0.1886 0.186  0.1970 nn
1/4-20  0.2408 0.2127 0.207  0.2224 uu | 1/4-28  0.2425 0.2225 0.220  0.2311 uu
5/16-18 0.3026 0.2712 0.265  0.2817 ns | 5/16-24 0.3042 0.2806 0.277  0.2902 nn
3/8-16  0.3643 0.3287 0.321  0.3401 ns | 3/8-24  0.3667 0.3430 0.340  0.3528 nn
7/16-14 0.4258 0.3850 0.376  0.3972 ns | 7/16-20 0.4281 0.3995 0.395  0.4104 nn
1/2-13  0.4876 0.4435 0.434  0.4565 uu | 1/2-20  0.4906 0.4619 0.457  0.4731 uu
9/16-12 0.5495 0.5016 0.490  0.5152 nn | 9/16-18 0.5524 0.5205 0.515  0.5323 nn
5/8-11  0.6113 0.5589 0.546  0.5732 ns | 5/8-18  0.6149 0.5828 0.578  0.5949 nn
3/4-10  0.7353 0.6773 0.663  0.6927 uu | 3/4-16  0.7391 0.7029 0.696  0.7159 uu
7/8-9   0.8592 0.7946 0.778  0.8110 ns | 7/8-14  0.8631 0.8216 0.814  0.8356 nn
1-8     0.9830 0.9101 0.890  0.9276 uu | 1-12    0.9868 0.9382 0.928  0.9535 uu | 1-14 0.9881 0.9467 0.938 0.9605 uu
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """A thread at minimum material: least diameters of the bolt, greatest of the hole, [mm]."""

    designation: str
    pitch_mm: float
    major_min_mm: float
    pitch_ext_min_mm: float
    minor_int_max_mm: float
    pitch_int_max_mm: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class _Line:
    """One line of a table, in its own unit; `bolt` and `hole` are letters of `SOURCES`."""

    thread: str
    figures: tuple[float, ...]
    unit: str
    bolt: str
    hole: str

    @property
    def mm(self) -> float:
        return 1.0 if self.unit == "mm" else MM_PER_INCH

    @property
    def pitch_mm(self) -> float:
        last = float(self.thread.rpartition("x" if self.unit == "mm" else "-")[2])
        return last if self.unit == "mm" else MM_PER_INCH / last


def _lines(text: str, unit: str) -> Iterator[_Line]:
    for cell in text.strip().replace("\n", "|").split("|"):
        thread, *figures, seen = cell.split()
        yield _Line(thread=thread, figures=tuple(map(float, figures)), unit=unit, bolt=seen[0], hole=seen[1])


_LINES: Mapping[str, _Line] = MappingProxyType(
    {line.thread: line for line in (*_lines(_METRIC_MM, "mm"), *_lines(_UNIFIED_IN, "in"))}
)
THREADS: tuple[str, ...] = tuple(_LINES)
"""The threads whose limits are in the tables."""


def limits(designation: str) -> Limits:
    """The limits of one thread, such as M10x1.5 or 1/4-20.

    Args:
        designation: nominal size and pitch, without a length (`Designation.name`).

    Raises:
        NotComputable: the size is in none of the tables here; it is not derived.

    Source: each row's own; ISO 965-2 / ASME B1.13M (6g, 6H), ASME B1.1 (2A, 2B).

    >>> limits("M10x1.5").pitch_int_max_mm
    9.206
    >>> round(limits("1/2-13").major_min_mm, 3)
    12.385
    """
    line = _LINES.get(designation)
    if line is None:
        why = f"the limits of {designation} are in no table here, and are not derived"
        raise NotComputable(why, f"known: {', '.join(THREADS)}")
    major, pitch_ext, minor, pitch_int = (round(figure * line.mm, 6) for figure in line.figures)
    return Limits(
        designation=designation,
        pitch_mm=line.pitch_mm,
        major_min_mm=major,
        pitch_ext_min_mm=pitch_ext,
        minor_int_max_mm=minor,
        pitch_int_max_mm=pitch_int,
        source="; ".join(dict.fromkeys((SOURCES[line.bolt], SOURCES[line.hole]))),
    )


def _rows(line: _Line) -> Iterator[Row]:
    bolt, hole = ("6g", "6H") if line.unit == "mm" else ("2A", "2B")
    names = (f"{bolt} major min", f"{bolt} pitch min", f"{hole} minor max", f"{hole} pitch max")
    letters = (line.bolt, line.bolt, line.hole, line.hole)
    for name, figure, letter in zip(names, line.figures, letters, strict=True):
        source = SOURCES[letter]
        yield Row(
            about=f"{line.thread} {name}",
            keys={"thread": line.thread},
            value=figure,
            unit=line.unit,
            source=source,
            seen=_MEMORY if source.endswith(_MEMORY) else _SEEN,
            note="at minimum material, before coating; needed for strip areas",
        )


TABLES: tuple[Row, ...] = tuple(row for line in _LINES.values() for row in _rows(line))
