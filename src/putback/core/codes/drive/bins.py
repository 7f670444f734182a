"""One idea: two drives may be compared only where they did the same, and a stay there is one figure, not many.

A bin is a range of load, of speed and of coolant temperature. Samples that follow one another in one bin are not
independent; so each visit of a bin counts once, with its mean and its spread, however fast it was logged. The widths
and limits are common practice, no source, and can be changed.
"""

from bisect import bisect_right
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, replace
from math import floor
from statistics import fmean, stdev
from typing import Final

from putback.core.codes.drive.log import COOLANT, LOAD, SPEED, Drive, Record

_MOST: Final = 1e6
_LEAST_VISITS: Final = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """How bins are cut and what counts. All are common practice, no source.

    Args:
        load_percent: width of a bin, [%].
        speed_km_h: width of a bin, [km/h]; standing still is a bin of its own.
        coolant_c: width of a bin, [°C].
        oldest_s: a load, speed or temperature counts for at most so long, [s]; a drop-out ends it at once.
        apart_s: who comes back within this time never left, [s].
        samples: a visit with fewer does not count.
        visits: a bin with fewer visits, before or after, gives no figure; 2 at least.
        confidence: the share of intervals that hold the true difference, [-].
    """

    load_percent: float = 10.0
    speed_km_h: float = 20.0
    coolant_c: float = 10.0
    oldest_s: float = 2.0
    apart_s: float = 5.0
    samples: int = 3
    visits: int = 3
    confidence: float = 0.95

    def changed(self, name: str, value: float) -> "Settings":
        """The same with one figure changed.

        Raises:
            ValueError: there is no such figure, or it cannot be that.

        >>> Settings().changed("visits", 4).visits
        4
        """
        kinds = {field.name: type(getattr(self, field.name)) for field in fields(self)}
        if name not in kinds:
            raise ValueError(f"there is no {name!r}; there are {', '.join(kinds)}")
        least = _LEAST_VISITS if kinds[name] is int else 0
        whole = kinds[name] is not int or value == int(value)
        if not (whole and least <= value <= _MOST) or value == 0 or (name == "confidence" and value >= 1):
            raise ValueError(f"{name} cannot be {value:g}")
        return replace(self, **{name: kinds[name](value)})


@dataclass(frozen=True, slots=True, kw_only=True, order=True)
class Bin:
    """A range of load, speed and temperature, each as the number of the range; `speed` -1: standing still."""

    load: int
    speed: int
    coolant: int

    def words(self, settings: Settings) -> str:
        """The ranges, as a person reads them.

        >>> Bin(load=2, speed=-1, coolant=8).words(Settings())
        'load 20–30 %, standing, 80–90 °C'
        """
        load, speed, coolant = self.ranges(settings)
        return f"load {load} %, {speed}{'' if self.speed < 0 else ' km/h'}, {coolant} °C"

    def ranges(self, settings: Settings) -> tuple[str, str, str]:
        """Load [%], speed [km/h] and coolant temperature [°C]."""
        return (
            _range(self.load, settings.load_percent),
            "standing" if self.speed < 0 else _range(self.speed, settings.speed_km_h),
            _range(self.coolant, settings.coolant_c),
        )


def _range(number: int, width: float) -> str:
    """A range in words.

    >>> _range(2, 10), _range(-2, 10)
    ('20–30', '-20 to -10')
    """
    low, high = number * width, (number + 1) * width
    return f"{low:g}–{high:g}" if low >= 0 else f"{low:g} to {high:g}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """One stay in a bin: how many samples, their mean and their spread (standard deviation)."""

    samples: int
    mean: float
    spread: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Stayed:
    """Where the samples of one channel lie. `unplaced`: load, speed or temperature was not known then."""

    visits: Mapping[Bin, tuple[Visit, ...]]
    samples: Mapping[Bin, int]
    unplaced: int


class _Axis:
    """What was last known of one channel."""

    def __init__(self, records: tuple[Record, ...], oldest_s: float) -> None:
        self._times = [one.at_s for one in records]
        self._records = records
        self._oldest_s = oldest_s

    def at(self, at_s: float) -> float | None:
        """The value then; None: it was not known."""
        place = bisect_right(self._times, at_s) - 1
        if place < 0 or at_s - self._times[place] > self._oldest_s:
            return None
        return self._records[place].value


class Places:
    """In which bin a drive was at each moment."""

    def __init__(self, drive: Drive, settings: Settings) -> None:
        self._settings = settings
        self._axes = [_Axis(drive.series.get(key, ()), settings.oldest_s) for key in (LOAD, SPEED, COOLANT)]

    def at(self, at_s: float) -> Bin | None:
        """The bin then; None: load, speed or temperature was not known."""
        load, speed, coolant = (axis.at(at_s) for axis in self._axes)
        if load is None or speed is None or coolant is None:
            return None
        return Bin(
            load=floor(load / self._settings.load_percent),
            speed=-1 if speed == 0 else floor(speed / self._settings.speed_km_h),
            coolant=floor(coolant / self._settings.coolant_c),
        )


def stayed(records: tuple[Record, ...], places: Places, settings: Settings) -> Stayed:
    """Where the samples of one channel lie, visit by visit."""
    open_visits: dict[Bin, tuple[float, list[float]]] = {}
    closed: dict[Bin, list[Visit]] = {}
    counts: dict[Bin, int] = {}
    unplaced = 0
    for one in records:
        bin = None if one.value is None else places.at(one.at_s)
        if one.value is None:
            continue
        if bin is None:
            unplaced += 1
            continue
        counts[bin] = counts.get(bin, 0) + 1
        last_s, values = open_visits.get(bin, (one.at_s, []))
        if one.at_s - last_s > settings.apart_s:
            closed.setdefault(bin, []).extend(_visit(values, settings))
            values = []
        values.append(one.value)
        open_visits[bin] = (one.at_s, values)
    for bin, (_, values) in open_visits.items():
        closed.setdefault(bin, []).extend(_visit(values, settings))
    visits = {bin: tuple(found) for bin, found in closed.items()}
    return Stayed(visits=visits, samples=counts, unplaced=unplaced)


def _visit(values: list[float], settings: Settings) -> Iterator[Visit]:
    if len(values) >= max(settings.samples, 2):
        yield Visit(samples=len(values), mean=fmean(values), spread=stdev(values))
