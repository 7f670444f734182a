"""One idea: an imported list is shown line by line as it was understood, with what a person should look at first."""

from collections.abc import Iterator

from rich.text import Text

from putback.core.codes.lists.pasted import Guess, GuessedLine, LineKind
from putback.faces.cli.codes_read_text import codes_words, table
from putback.faces.cli.plan_text import console

MOST_LINES = 400


def print_guess(found: Guess) -> None:
    """Each line with what it was taken for; what was not understood stands apart, below."""
    out = console()
    taken = [line for line in found.lines if line.kind not in (LineKind.EMPTY, LineKind.OTHER)]
    rows = table("line", "taken for", "module", "codes with status", "why")
    for line in taken[:MOST_LINES]:
        style = "bold" if line.doubt else ""
        rows.add_row(*(Text(cell, style=style) for cell in _cells(line)))
    out.print(rows)
    if len(taken) > MOST_LINES:
        out.print(Text(f"and {len(taken) - MOST_LINES} lines more"))
    for said in _said(found):
        out.print(Text(said))


def _cells(line: GuessedLine) -> tuple[str, ...]:
    mark = "? " if line.doubt else ""
    codes = codes_words(line.listed) if line.listed else ""
    return str(line.number), str(line.kind), line.module or "not named", codes, mark + line.why


def _said(found: Guess) -> Iterator[str]:
    if found.table is not None:
        yield f"It is read as {found.table.said}."
    if found.cut:
        yield f"Not all of it was looked at: {found.cut}."
    for line in found.not_understood[:MOST_LINES]:
        yield f"{'? ' if line.doubt else ''}line {line.number} not understood ({line.why}): {line.text[:80]}"
    more = len(found.not_understood) - MOST_LINES
    if more > 0:
        yield f"and {more} lines more that are not understood"
    for module, (stated, count) in found.short.items():
        yield f"{module}: the text says {stated} codes and has {count}; its list counts as cut off."
    others = sorted(found.partial - set(found.short))
    if others:
        yield f"May hold codes that were not taken, so that none counts as absent: {', '.join(others)}."
