"""One idea: what differs between two drives is said in the same words in the terminal, on a page and as JSON."""

from typing import Any, Final

from putback.core.codes.drive.against import Compared, Row, TwoDrives
from putback.core.codes.drive.log import Drive, rate
from putback.core.codes.drive.student import Difference
from putback.core.codes.lists.listing import Stage

CAUTION: Final = (
    "The driver does not look at this. A second person logs, or it is looked at afterwards, standing still. "
    "Local law wins."
)
METHOD: Final = (
    "Compared only where load, speed and coolant temperature were alike. Each visit of a bin counts once, however "
    "many samples it has, since samples in a row are not independent. Interval: Welch's t."
)
HEADS: Final = (
    "load %",
    "km/h",
    "coolant °C",
    "visits",
    "samples",
    "before",
    "after",
    "difference of means",
    "difference of spreads",
)
_TO_THE_MINUTE: Final = len("2026-03-02T08:15")
NARROW: Final = ("load %", "km/h", "°C", "visits", "samples", "means", "difference")


def stage_words(drive: Drive) -> str:
    """What a log says of when it was made.

    >>> stage_words(Drive(name="a.csv", series={}, facts={"begun": "2026-03-02T08:15:07+01:00", "stage": "before"}))
    'before, 2026-03-02 08:15'
    """
    said = (drive.facts.get("stage", ""), drive.facts.get("begun", "")[:_TO_THE_MINUTE].replace("T", " "))
    return ", ".join(one for one in said if one) or "not said when"


def out_of_order(found: TwoDrives) -> str:
    """That the logs may be the wrong way round; empty where nothing says so."""
    before, after = (one.facts.get("stage", "") for one in (found.before, found.after))
    first, second = (one.facts.get("begun", "") for one in (found.before, found.after))
    if after == Stage.BEFORE or before.startswith("after") or (first and second and first > second):
        return "the log named first is not the earlier one: is BEFORE named first?"
    return ""


def row_words(row: Row, found: TwoDrives) -> tuple[str, ...]:
    """One bin as cells under `HEADS`."""
    ranges = row.bin.ranges(found.settings)
    counts = (f"{row.before.visits} / {row.after.visits}", f"{row.before.samples} / {row.after.samples}")
    if row.mean is None or row.spread is None:
        return (*ranges, *counts, "", "", "too few visits", "")
    return (*ranges, *counts, *means(row.mean), interval_words(row.mean), interval_words(row.spread))


def narrow_words(row: Row, found: TwoDrives) -> tuple[str, ...]:
    """One bin as cells under `NARROW`, for a terminal of 80 columns."""
    load, speed, coolant, visits, samples, before, after, difference, _ = row_words(row, found)
    both = f"{before} → {after}" if before else ""
    return (load, speed, coolant, visits.replace(" ", ""), samples.replace(" ", ""), both, difference)


def means(found: Difference) -> tuple[str, str]:
    """Both means, with as many decimals as their difference is worth."""
    return figure(found.before, found.decimals), figure(found.after, found.decimals)


def figure(value: float, decimals: int, *, signed: bool = False) -> str:
    """A figure with a true minus sign.

    >>> figure(-1.234, 1), figure(2.0, 0, signed=True), figure(-0.001, 1)
    ('−1.2', '+2', '0.0')
    """
    text = f"{value:+.{decimals}f}" if signed else f"{value:.{decimals}f}"
    return (text if float(text) else f"{0:.{decimals}f}").replace("-", "−")


def interval_words(found: Difference) -> str:
    """A difference with its interval.

    >>> interval_words(Difference(before=1.0, after=3.0, low=1.5, high=2.5, freedom=4.0))
    '+2.00 (1.50 to 2.50)'
    """
    value = figure(found.value, found.decimals, signed=True)
    if found.low is None or found.high is None:
        return f"{value} (no scatter)"
    return f"{value} ({figure(found.low, found.decimals)} to {figure(found.high, found.decimals)})"


def title_of(compared: Compared) -> str:
    """The channel with its unit."""
    channel = compared.channel
    return f"{channel.name} [{channel.unit}]" if channel.unit else channel.name


def left_out(compared: Compared) -> str:
    """What of a channel could not be compared, in words; empty where all could."""
    said = [
        (compared.alone_before, "samples before in bins that only that drive was in"),
        (compared.alone_after, "samples after in bins that only that drive was in"),
        (compared.unplaced_before, "samples before while load, speed or temperature was not known"),
        (compared.unplaced_after, "samples after while load, speed or temperature was not known"),
    ]
    return "; ".join(f"{count} {words}" for count, words in said if count)


def two_drives_json(found: TwoDrives) -> dict[str, Any]:
    """Everything that was compared."""
    return {
        "before": drive_json(found.before),
        "after": drive_json(found.after),
        "settings": {name: getattr(found.settings, name) for name in found.settings.__slots__},
        "settings_source": "common practice, no source",
        "missing": found.missing,
        "channels": [_channel_json(one, found) for one in found.channels],
        "misfires": [
            {
                "cylinder": one.number,
                "before": one.before.count,
                "before_is": str(one.before.ran),
                "after": one.after.count,
                "after_is": str(one.after.ran),
                "average_before": one.average_before.count,
                "average_after": one.average_after.count,
            }
            for one in found.cylinders
        ],
        "by_chance": found.by_chance,
        "method": METHOD,
    }


def drive_json(drive: Drive) -> dict[str, Any]:
    """A drive: how long, and how each channel was logged."""
    rates = {key: rate(records) for key, records in sorted(drive.series.items())}
    return {
        "file": drive.name,
        "stage": drive.facts.get("stage"),
        "begun": drive.facts.get("begun"),
        "seconds": round(drive.long_s, 3),
        "channels": {
            key: {"values": one.values, "drop_outs": one.drop_outs, "step_s": one.step_s, "longest_s": one.longest_s}
            for key, one in rates.items()
        },
    }


def _channel_json(compared: Compared, found: TwoDrives) -> dict[str, Any]:
    return {
        "pid": compared.channel.key,
        "name": compared.channel.name,
        "unit": compared.channel.unit,
        "bins": [_row_json(row, found) for row in compared.rows],
        "alone": {"before": compared.alone_before, "after": compared.alone_after},
        "unplaced": {"before": compared.unplaced_before, "after": compared.unplaced_after},
    }


def _row_json(row: Row, found: TwoDrives) -> dict[str, Any]:
    return {
        "bin": row.bin.words(found.settings),
        "visits": {"before": row.before.visits, "after": row.after.visits},
        "samples": {"before": row.before.samples, "after": row.after.samples},
        "mean": _difference_json(row.mean),
        "spread": _difference_json(row.spread),
        "too_few": row.why,
    }


def _difference_json(found: Difference | None) -> dict[str, Any] | None:
    if found is None:
        return None
    interval = None if found.low is None else [found.low, found.high]
    return {"before": found.before, "after": found.after, "difference": found.value, "interval": interval}
