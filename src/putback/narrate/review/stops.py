"""One idea: a review is walked from one place at which something is left to do to the next, the most urgent first."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from putback.narrate.review.look import Look, Open, Row
from putback.narrate.review.words import is_looked_at, without_line

HIGH_VOLTAGE: Final = "high voltage"
PLAIN: Final = "plain"
UNUSED: Final = "unused"
TORQUES: Final = "torques"
WRITE: Final = "write"


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """A place of a review. `rows` and `questions` are what is seen there; a row of its own is the only one.

    `spans` are words that were not used: one stretch at a place of its own, all of them at `UNUSED`.
    """

    name: str
    rows: tuple[Row, ...] = ()
    questions: tuple[Open, ...] = ()
    spans: tuple[tuple[int, int], ...] = ()


def stops(look: Look) -> tuple[Stop, ...]:
    """Where something is left to do; what is plain is one place, so are the torques, and writing is the last."""
    plain, needed = look.plain, look.torques_needed()
    apart = {_name(row) for row in plain}
    return (
        *([Stop(name=HIGH_VOLTAGE)] if look.review.high_voltage is None else ()),
        *(Stop(name=f"asked {one.kind} {one.text}", questions=(one,)) for one in without_line(look)),
        *(_of_row(row) for row in look.rows if _name(row) not in apart and not is_looked_at(row)),
        *([Stop(name=PLAIN, rows=plain)] if plain else ()),
        *(Stop(name=f"{UNUSED} {span[0]}", spans=(span,)) for span in look.unused),
        *([Stop(name=TORQUES, questions=needed)] if needed else ()),
        Stop(name=WRITE),
    )


def visited(look: Look, name: str) -> Stop | None:
    """A place that a person went to by its key, whether something is left to do there or not."""
    if name == HIGH_VOLTAGE:
        return Stop(name=name)
    if name == UNUSED:
        return Stop(name=name, spans=look.unused) if look.unused else None
    row = stop_of_line(look, int(name[4:])) if name.startswith("row ") else None
    return row if row is not None and row.name == name else None


def stop_of_line(look: Look, key: int) -> Stop | None:
    """The place of the row in which a line stands, whether something is left to do there or not."""
    row = look.row_of(key)
    return _of_row(row) if row is not None else None


def next_stop(before: Iterable[Stop], after: Iterable[Stop], was: str) -> Stop:
    """Where to go on: the first place behind the one that was at which something is still left, else the first.

    Where nothing else is left but to write, it is the one that was, if something is left there.
    """
    now = {stop.name: stop for stop in after}
    names = [stop.name for stop in before]
    behind = names[names.index(was) + 1 :] if was in names else names
    rest = (now[name] for name in (*behind, *now) if name in now and name not in (was, WRITE))
    return next(rest, now.get(was, now[WRITE]))


def _of_row(row: Row) -> Stop:
    return Stop(name=_name(row), rows=(row,), questions=tuple(one for one in row.questions if one.answer is None))


def _name(row: Row) -> str:
    return f"row {row.lines[0].key}"
