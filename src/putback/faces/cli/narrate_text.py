"""One idea: a draft in the terminal has a row for each pair of twins, with the words that it stands on."""

from collections.abc import Sequence
from typing import Final

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from putback.core.procedure import TWINNED
from putback.narrate.lines.draft import Draft
from putback.narrate.lines.said import Said

_LONGEST_QUOTE: Final = 80
_MOST_ROWS: Final = 400


def print_draft(out: Console, draft: Draft) -> None:
    """What was not heard first, then the pairs, then what has no twin and what was left unused."""
    back = _way_back(draft)
    owed = [one for one in draft.operations if one.verb in TWINNED and one.n not in back]
    paired = [one for one in draft.operations if one.n in back]
    alone = [one for one in draft.operations if one.twin is None and one not in owed and one not in paired]
    for question in draft.questions:
        line = f" (line {question.operation})" if question.operation is not None else ""
        out.print(Text(f"? {question.text}{line}"))
    _print_rows(out, draft, "way back not heard", owed, back)
    _print_rows(out, draft, "heard both ways", paired, back)
    _print_rows(out, draft, "without a twin", alone, back)
    for start, end in draft.unused[:_MOST_ROWS]:
        out.print(
            Text(f"unused: {_time(draft.spoken.second(start))}{_cut(draft.spoken.text[start:end])}", style="dim")
        )
    doubtful = sum(bool(one.doubts) for one in draft.operations)
    words = f"{len(draft.operations)} operations, {doubtful} with a doubt, {len(draft.questions)} questions."
    out.print(Text(f"{words} A draft: nothing is firm before a person has looked at it."))


def _way_back(draft: Draft) -> dict[int, list[Said]]:
    back: dict[int, list[Said]] = {}
    for one in draft.operations:
        if one.twin is not None:
            back.setdefault(one.twin, []).append(one)
    return back


def _print_rows(out: Console, draft: Draft, title: str, rows: Sequence[Said], back: dict[int, list[Said]]) -> None:
    if not rows:
        return
    table = Table(title=Text(title), title_justify="left", box=box.SIMPLE_HEAD, pad_edge=False)
    for heading in ("line", "operation", "its way back", "said", "doubts"):
        table.add_column(Text(heading), overflow="fold")
    for one in rows[:_MOST_ROWS]:
        twins = back.get(one.n, [])
        doubts = "; ".join(dict.fromkeys(doubt for each in (one, *twins) for doubt in each.doubts))
        way_back = "\n".join(f"{twin.n} {_words(twin)}" for twin in twins)
        table.add_row(*map(Text, (str(one.n), _words(one), way_back, _quote(draft, one), doubts)))
    out.print(table)
    if len(rows) > _MOST_ROWS:
        out.print(Text(f"{len(rows) - _MOST_ROWS} more rows are left out here: --json has all of them."))


def _words(one: Said) -> str:
    count = f"{one.count} × " if one.count is not None else ""
    more = " ".join(part for part in (one.size, one.torque, one.pattern, one.tool, one.zone, one.tray) if part)
    return f"{one.verb} {count}{one.object}{', ' if more else ''}{more}"


def _quote(draft: Draft, one: Said) -> str:
    return f"{_time(one.seconds)}{_cut(draft.spoken.text[one.start : one.end])}"


def _time(seconds: float | None) -> str:
    """The time of a word, as minutes and seconds.

    >>> _time(75.4), _time(None)
    ('1:15 ', '')
    """
    return "" if seconds is None else f"{int(seconds) // 60}:{int(seconds) % 60:02} "


def _cut(words: str) -> str:
    one_line = " ".join(words.split())
    return one_line if len(one_line) <= _LONGEST_QUOTE else f"{one_line[: _LONGEST_QUOTE - 1]}…"
