"""One idea: what differs between two drives is said bin by bin, with its interval, or that there is too little to say.

Nothing here calls a difference good or bad.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from putback.core.codes.drive.bins import Bin, Places, Settings, Stayed, stayed
from putback.core.codes.drive.log import COOLANT, LOAD, SPEED, TRIM_SUMS, Channel, Drive
from putback.core.codes.drive.misfire import Cylinder, cylinders
from putback.core.codes.drive.student import Difference, welch
from putback.core.codes.drive.trims import with_trims


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """How much one drive gave in one bin: visits that count, and samples in all."""

    visits: int
    samples: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One bin that both drives were in.

    Args:
        mean, spread: of the visits, before and after; None where there are too few of them.
        why: what is too few; empty where there are figures.
    """

    bin: Bin
    before: Side
    after: Side
    mean: Difference | None
    spread: Difference | None
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """One channel of two drives. `alone_before` and `alone_after` count samples in bins the other was not in."""

    channel: Channel
    rows: tuple[Row, ...]
    alone_before: int
    alone_after: int
    unplaced_before: int
    unplaced_after: int

    @property
    def figures(self) -> tuple[Row, ...]:
        """The rows that have figures."""
        return tuple(row for row in self.rows if row.mean is not None)


@dataclass(frozen=True, slots=True, kw_only=True)
class TwoDrives:
    """Two drives held against one another. `missing`: why nothing could be matched; empty where it could."""

    before: Drive
    after: Drive
    settings: Settings
    channels: tuple[Compared, ...]
    cylinders: tuple[Cylinder, ...]
    missing: str = ""

    @property
    def intervals(self) -> tuple[Difference, ...]:
        """Every interval that is shown."""
        found = (one for channel in self.channels for row in channel.rows for one in (row.mean, row.spread))
        return tuple(one for one in found if one is not None and one.low is not None)

    @property
    def by_chance(self) -> str:
        """How many intervals are to be expected to miss, in words; empty where there are none."""
        count = len(self.intervals)
        share = 1 - self.settings.confidence
        if not count:
            return ""
        shown = "1 interval is shown" if count == 1 else f"{count} intervals are shown"
        return f"{shown}; where nothing differs, about {count * share:.1f} would still leave nought out by chance"


def hold_against(before: Drive, after: Drive, settings: Settings | None = None) -> TwoDrives:
    """Compare two drives where they did the same."""
    settings = settings or Settings()
    missing = _missing(before, after)
    with_before, with_after = with_trims(before), with_trims(after)
    places = Places(before, settings), Places(after, settings)
    keys = [key for key in with_before.series if key in with_after.series]
    channels = [one for one in _logged(with_before) if one.key in keys and not _is_axis(one)]
    compared = tuple(
        _compared(
            channel,
            stayed(with_before.series[channel.key], places[0], settings),
            stayed(with_after.series[channel.key], places[1], settings),
            settings,
        )
        for channel in ([] if missing else channels)
    )
    return TwoDrives(
        before=before,
        after=after,
        settings=settings,
        channels=compared,
        cylinders=cylinders(before, after),
        missing=missing,
    )


def _logged(drive: Drive) -> list[Channel]:
    """Channels that have live values; the sum of the trims first."""
    live = (one for one in drive.channels if one.live)
    return sorted(live, key=lambda one: one.key not in TRIM_SUMS)


def _is_axis(channel: Channel) -> bool:
    return channel.key in (LOAD, SPEED, COOLANT)


def _missing(before: Drive, after: Drive) -> str:
    names = {LOAD: "load", SPEED: "speed", COOLANT: "coolant temperature"}
    lacks = [
        f"{name} (PID {key}) {which}"
        for key, name in names.items()
        for which, drive in (("before", before), ("after", after))
        if not any(one.value is not None for one in drive.series.get(key, ()))
    ]
    return f"nothing can be matched without {', '.join(lacks)}" if lacks else ""


def _compared(channel: Channel, before: Stayed, after: Stayed, settings: Settings) -> Compared:
    both = sorted(set(before.samples) & set(after.samples))
    return Compared(
        channel=channel,
        rows=tuple(_row(bin, before, after, settings) for bin in both),
        alone_before=sum(count for bin, count in before.samples.items() if bin not in both),
        alone_after=sum(count for bin, count in after.samples.items() if bin not in both),
        unplaced_before=before.unplaced,
        unplaced_after=after.unplaced,
    )


def _row(bin: Bin, before: Stayed, after: Stayed, settings: Settings) -> Row:
    visits = before.visits.get(bin, ()), after.visits.get(bin, ())
    sides = [
        Side(visits=len(found), samples=of.samples[bin]) for found, of in zip(visits, (before, after), strict=True)
    ]
    few = min(map(len, visits)) < settings.visits
    return Row(
        bin=bin,
        before=sides[0],
        after=sides[1],
        mean=None if few else _welch([[one.mean for one in found] for found in visits], settings),
        spread=None if few else _welch([[one.spread for one in found] for found in visits], settings),
        why=_few(sides, settings) if few else "",
    )


def _welch(figures: Sequence[Sequence[float]], settings: Settings) -> Difference:
    return welch(figures[0], figures[1], confidence=settings.confidence)


def _few(sides: Sequence[Side], settings: Settings) -> str:
    counts = f"{sides[0].visits} before, {sides[1].visits} after"
    return f"too few visits: {counts}; {settings.visits} of each are needed"
