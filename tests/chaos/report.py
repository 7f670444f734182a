"""One idea: what the rounds came to is one table, in numbers."""

from collections import Counter
from collections.abc import Sequence

from chaos.wire import KILLS
from chaos.yard import Result

_KILLS = (
    "browser killed",
    "server killed",
    "server restarted",
    "reboot in a wait",
    "storage full",
    "older back-up restored",
)


def table(results: Sequence[Result]) -> str:
    """The table that `make chaos` prints."""
    moves: Counter[str] = sum((result.moves for result in results), Counter())
    kills = sum(moves[name] for name in (*_KILLS, *map(str, KILLS)))
    lines = [
        ("rounds", len(results)),
        ("moves", moves.total()),
        *((f"  {name}", times) for name, times in sorted(moves.items())),
        ("of these with a kill -9", kills),
        ("taps confirmed", sum(result.taps for result in results)),
        ("events in the records", sum(result.events for result in results)),
        ("lost", sum(len(result.count.lost) for result in results)),
        ("doubled", sum(len(result.count.doubled) for result in results)),
        ("made by nobody", sum(len(result.count.strange) for result in results)),
        ("otherwise wrong", sum(len(result.wrong) for result in results)),
        ("seconds", round(sum(result.seconds for result in results))),
        ("seconds, longest round", round(max((result.seconds for result in results), default=0), 1)),
    ]
    bad = [one.line() for one in results if not one.sound]
    return "\n".join([*(f"{name:<52}{value:>8}" for name, value in lines), *bad])
