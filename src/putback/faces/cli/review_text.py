"""One idea: a review in the terminal is one place at a time: what was said there, what is asked, and the keys.

Meaning is in words and signs; style only helps, so that a pipe or a printer loses nothing.
"""

from collections.abc import Iterator, Sequence
from types import MappingProxyType
from typing import Final

from rich import box
from rich.console import Console, Group, RenderableType
from rich.table import Table
from rich.text import Text

from putback.bay.reviews import ReviewHere, ReviewLine
from putback.faces.keyboard import KEYS, letter
from putback.faces.names import counted
from putback.narrate.review.look import Look, Open, Row, Stand
from putback.narrate.review.state import Reviewed
from putback.narrate.review.stops import HIGH_VOLTAGE, PLAIN, TORQUES, UNUSED, WRITE, Stop
from putback.narrate.review.words import amount, answers_to, around, clock, is_looked_at, left

_SIGNS: Final = MappingProxyType(
    {Stand.NO_WAY_BACK: "○", Stand.NO_WAY_IN: "○", Stand.DOUBT: "?", Stand.HEARD: "●", Stand.ALONE: "–"}
)
_MOST_UNUSED: Final = 5
_OTHER_LINES: Final = 12
"""Lines of a screen beside the rows."""
_ROW_KEYS: Final = (
    (("confirm", "confirm"), ("answer", "answer"), ("delete", "delete"), ("flip", "turn round"), ("merge", "merge")),
    (("split", "split"), ("twin", "twin"), ("rename", "rename everywhere"), ("verb", "verb"), ("object", "thing")),
    (("count", "count"), ("size", "size"), ("torque", "torque"), ("before", "had to come off before")),
    (("line after", "the other line"),),
)
_UNUSED_KEYS: Final = ((("delete", "nothing done here"), ("new", "a line of it"), ("unused", "all such words")),)
_ALWAYS_KEYS: Final = (
    (("next", "next"), ("back", "back"), ("go", "go to a line"), ("new", "new line"), ("plain", "all plain")),
    (("torques", "torques"), ("high voltage", "high voltage"), ("list", "list"), ("undo", "undo"), ("write", "write")),
    (("leave", "leave"), ("keys", "all keys")),
)
"""Keys that stand under a place, by the names of the table of keys, each with few words."""


def show_stop(out: Console, here: ReviewHere, stop: Stop, *, chosen: int | None, said: str, clears: bool) -> None:
    """One place of a review, with what the last key did."""
    if clears:
        out.clear()
    out.print(_head(here))
    out.rule(style="dim")
    for part in _body(here.look, stop, chosen, rows_shown(out) if clears else None):
        out.print(part)
    if said:
        out.print()
        out.print(Text(f"» {said}", style="bold"))
    out.rule(style="dim")
    for line in _keys(stop, out.width):
        out.print(Text(line, style="dim"))


def _head(here: ReviewHere) -> Text:
    look = here.look
    voltage = {None: "high voltage: not said", True: "high voltage: yes", False: "high voltage: no"}
    needed = len(look.torques_needed())
    parts = [f"car {here.car}", f"{left(look)} left"]
    parts += [f"{counted(needed, 'torque')} needed"] if needed else []
    head = Text(here.name, style="bold")
    return head.append(f" · {' · '.join(parts)} · {voltage[look.review.high_voltage]}", style="not bold")


def rows_shown(out: Console) -> int:
    """How many plain rows a screen shows; a row may take two lines."""
    return max(4, (out.height - _OTHER_LINES) // 2)


def _body(look: Look, stop: Stop, chosen: int | None, most: int | None) -> Iterator[RenderableType]:
    if stop.name == HIGH_VOLTAGE:
        yield Text("Does the car have high voltage?", style="bold")
        yield Text("Where it does, isolating, waiting and proving are always asked. The maker's publication decides.")
        yield Text("1 yes   2 no   Enter: not known, go on")
    elif stop.name == PLAIN:
        yield Text(f"{counted(len(stop.rows), 'plain row')}: heard, without doubt, nothing asked", style="bold")
        yield _table(look, stop.rows[:most])
        more = len(stop.rows) - len(stop.rows[:most])
        rest = f"; then {more} more are shown" if more else ""
        yield Text(f"Enter confirms all that are seen here{rest}; g goes to one line of them")
    elif stop.name == TORQUES:
        yield Text("Torques that nobody said: the value with its unit, and where it stands", style="bold")
        yield from (Text(f"  {torque_words(look, one)}") for one in stop.questions)
        yield Text("Enter asks for them one after the other; what you leave empty stays a value needed")
    elif stop.name == WRITE:
        yield from _end(look)
    elif stop.rows:
        yield from _row(look, stop.rows[0], chosen)
    elif stop.spans:
        yield from _unused(look, stop, most)
    else:
        yield from (_question(one, keys=True) for one in stop.questions)


def _row(look: Look, row: Row, chosen: int | None) -> Iterator[RenderableType]:
    stand = f"{_SIGNS[row.stand]} {row.stand}"
    yield Text(f"{stand}{', confirmed' if all(one.confirmed for one in row.lines) else ''}", style="bold")
    table = Table(box=box.SIMPLE_HEAD, expand=True, pad_edge=False, show_edge=False)
    table.add_column("on the way in", ratio=1, overflow="fold", header_style="dim")
    table.add_column("on the way back", ratio=1, overflow="fold", header_style="dim")
    way_in = _line(row.way_in, chosen) if row.way_in else Text("not heard", style="italic")
    way_back = [_line(one, chosen) for one in row.way_back] or [Text(_no_way_back(row), style="italic")]
    table.add_row(way_in, Text("\n").join(way_back))
    yield table
    for one in row.lines:
        yield quote(look, one)
    for doubt in row.doubts:
        yield Text(f"! {doubt}")
    asked = next((one for one in row.questions if one.answer is None and answers_to(one)), None)
    yield from (_question(one, keys=one is asked) for one in row.questions)


def _no_way_back(row: Row) -> str:
    return "not heard" if row.stand is Stand.NO_WAY_BACK else ""


def _line(one: Reviewed, chosen: int | None) -> Text:
    said = one.said
    mark = "▸ " if one.key == chosen else "  "
    text = Text(f"{mark}{one.key} {said.verb} ", style="bold" if one.key == chosen else "")
    text.append(said.object or "(no name)")
    more = [amount(said), said.torque or "", said.pattern or "", said.zone or "", said.tool or "", said.tray or ""]
    more += [f"torque from {one.source}"] if one.source else []
    more += ["confirmed"] if one.confirmed else []
    more += ["a person's line"] if one.by_hand else []
    more += [f"after {', '.join(map(str, one.first))}"] if one.first else []
    found = ", ".join(part for part in more if part)
    return text.append(f"\n    {found}" if found else "", style="not bold")


def quote(look: Look, one: Reviewed) -> Text:
    """The words that a line stands on, in brackets, with what was said around them and when."""
    if one.by_hand:
        return Text(f"{one.key}  nobody said it; a person wrote it", style="dim")
    return _said(look, one.said.start, one.said.end, f"{one.key}  ", clock(one.said.seconds))


def _said(look: Look, start: int, end: int, number: str = "", time: str | None = None) -> Text:
    at = around(look.review.spoken.text, start, end)
    time = clock(look.review.spoken.second(start)) if time is None else time
    text = Text(f"{number}{time} " if time else number, style="dim")
    text.append(f"{at.before} " if at.before else "", style="not dim")
    text.append(f"[{at.words}]", style="not dim bold underline")
    return text.append(f" {at.after}" if at.after else "", style="not dim")


def _question(one: Open, *, keys: bool) -> Text:
    if one.answer is not None:
        return Text(f"? {one.text} {one.answer.answer}", style="dim")
    text = Text(f"? {one.text}", style="bold")
    answers = [f"{n} {answer}" for n, answer in enumerate(answers_to(one), start=1)] if keys else []
    return text.append(f"\n  {'   '.join(answers)}" if answers else "", style="not bold")


def _unused(look: Look, stop: Stop, most: int | None) -> Iterator[RenderableType]:
    """Words that gave no line: one stretch of them, or all."""
    if stop.name != UNUSED:
        yield Text("Words that were not used: what was done in them?", style="bold")
        yield _said(look, *stop.spans[0])
        yield Text(f"{letter('delete')}: nothing was done here; {letter('new')}: make a line of it")
        return
    yield Text(f"{counted(len(stop.spans), 'place')} with words that were not used", style="bold")
    yield from unused_lines(look, most=len(stop.spans) if most is None else most)
    yield Text(f"Enter or {letter('unused')}: nothing was done in any of them; {letter('new')} makes a line of one")


def _end(look: Look) -> Iterator[RenderableType]:
    review = look.review
    still = left(look)
    yield Text("Everything was looked at" if not still else f"{still} left to look at", style="bold")
    owed = len(look.open_questions)
    yield Text(f"{counted(len(review.lines), 'line')}, {look.unconfirmed} not confirmed, {owed} without an answer")
    yield Text("w writes the procedure; what is open stands in it as open. Not heard is not the same as not done.")
    if look.unused:
        yield Text(f"{counted(len(look.unused), 'place')} in the text not used ({letter('unused')} shows them all):")
    yield from unused_lines(look, most=_MOST_UNUSED)


def unused_lines(look: Look, *, most: int) -> Iterator[Text]:
    """Words that gave no line though they name a part, a number or a unit, each with its number."""
    for n, (start, end) in enumerate(look.unused[:most], start=1):
        yield Text("  ").append_text(_said(look, start, end, f"{n}  "))
    if len(look.unused) > most:
        yield Text(f"  and {len(look.unused) - most} more")


def show_rows(out: Console, look: Look) -> None:
    """Every row, and every stretch that was not used."""
    out.print(_table(look, look.rows))
    for line in unused_lines(look, most=len(look.unused)):
        out.print(line)


def _table(look: Look, rows: Sequence[Row]) -> Table:
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, show_edge=False, header_style="dim")
    for heading in ("", "on the way in", "on the way back", "said"):
        table.add_column(heading, overflow="fold")
    for row in rows:
        mark = f"{_SIGNS[row.stand]}{' ' if is_looked_at(row) else '*'}"
        way_in = _short(row.way_in) if row.way_in else "not heard"
        back = "\n".join(map(_short, row.way_back)) or _no_way_back(row)
        table.add_row(mark, Text(way_in), Text(back), Text(_words_of(look, row.lines[0])))
    table.caption = "* to be looked at" if any(not is_looked_at(row) for row in rows) else None
    return table


def _short(one: Reviewed) -> str:
    return " ".join(filter(None, (str(one.key), str(one.said.verb), amount(one.said), one.said.object)))


def _words_of(look: Look, one: Reviewed) -> str:
    if one.by_hand:
        return "by hand"
    words = around(look.review.spoken.text, one.said.start, one.said.end).words
    cut = words if len(words) <= 40 else f"{words[:39]}…"
    return " ".join(filter(None, (clock(one.said.seconds), cut)))


def torque_words(look: Look, question: Open) -> str:
    """What a torque is asked for: the thing, how many of what."""
    line = look.review.line(question.line) if question.line is not None else None
    return question.text if line is None else f"{line.said.object} ({amount(line.said)}): tightened to what?"


def choices(look: Look, lines: Sequence[Reviewed]) -> Iterator[Text]:
    """Lines to choose from, by their numbers."""
    for one in lines:
        yield Text(f"  {_short(one)}  ").append(_words_of(look, one), style="dim")


def show_keys(out: Console) -> None:
    """Every key with what it does."""
    table = Table(box=None, show_header=False, pad_edge=False)
    for key in KEYS:
        table.add_row(Text(" ".join((*key.shown, *key.typed)), style="bold"), Text(key.words))
    out.print(Group(Text("Keys", style="bold"), table))


def _keys(stop: Stop, width: int) -> Iterator[str]:
    """The keys that count at a place, as many on a line as there is room for."""
    own = _ROW_KEYS if stop.rows and stop.name != PLAIN else _UNUSED_KEYS if stop.spans and stop.name != UNUSED else ()
    found: dict[str, str] = {}
    for does, words in (part for line in (*own, *_ALWAYS_KEYS) for part in line):
        found.setdefault(_SHOWN[does], words)
    line = ""
    for part in (f"{key} {words}" for key, words in found.items()):
        if line and len(line) + len(part) + 3 > width:
            yield line
            line = ""
        line += f"   {part}" if line else part
    yield line


_SHOWN: Final = {key.does: "1-4" if key.does == "answer" else key.keys[0] for key in KEYS}


def show_reviews(out: Console, lines: Sequence[ReviewLine]) -> None:
    """Every review of a store, the newest first."""
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, show_edge=False, header_style="dim")
    for heading in ("narration", "car", "taken", "lines", "not confirmed", "open questions"):
        table.add_column(heading, overflow="fold")
    for one in lines:
        cells = (
            one.name,
            one.car,
            one.taken_at[:16].replace("T", " "),
            one.lines,
            one.unconfirmed,
            one.open_questions,
        )
        table.add_row(*(Text(str(cell)) for cell in cells))
    out.print(table if lines else Text("no narration was taken yet"))
