"""One idea: what the fuel system adds is the short term trim and the long term trim together, at one moment.

The sum is taken where both are known: a short term value, and a long term value that is not older than the step in
which it was logged allows. PIDs 06 to 09 of SAE J1979.
"""

from bisect import bisect_right
from typing import Final

from putback.core.codes.drive.log import TRIM_SUMS, Drive, Record, rate

_OLDEST_STEPS: Final = 2.0


def with_trims(drive: Drive) -> Drive:
    """The drive with the sum of both trims of each bank that logged both."""
    parts = {key: key.split("+") for key in TRIM_SUMS}
    sums = {
        key: _sums(drive.series[short], drive.series[long], key)
        for key, (short, long) in parts.items()
        if short in drive.series and long in drive.series
    }
    return Drive(name=drive.name, series={**drive.series, **sums}, facts=drive.facts)


def _sums(short: tuple[Record, ...], long: tuple[Record, ...], key: str) -> tuple[Record, ...]:
    times = [one.at_s for one in long]
    oldest_s = _OLDEST_STEPS * (rate(long).step_s or 0.0)
    found = []
    for one in short:
        place = bisect_right(times, one.at_s) - 1
        other = long[place].value if place >= 0 and one.at_s - times[place] <= oldest_s else None
        known = one.value is not None and other is not None
        found.append(Record(at_s=one.at_s, key=key, value=(one.value or 0.0) + (other or 0.0) if known else None))
    return tuple(found)
