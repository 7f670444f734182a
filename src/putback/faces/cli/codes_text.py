"""One idea: what reads say together, in the terminal: verdicts, then causes, then what is still open.

A list too long to be read by anybody is cut at a length that is said, the worst lines first; --json has all of it.
"""

from collections import Counter
from collections.abc import Sequence
from typing import Final

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from putback.bay.code_compare import Held
from putback.bay.code_words import WORST_FIRST, too_many_words
from putback.core.car import Car
from putback.core.codes.causes.cause import Diagnosis, Explanation
from putback.core.codes.causes.weights import WHENCE
from putback.core.codes.verdicts.compare import Comparison, Judged

NO_CIRCUIT = "no disturbed item of the car file carries a circuit of these codes"

MOST_LINES: Final = 200
MOST_SIGNS: Final = 20
MOST_OF_A_TEXT: Final = 300


def print_held(out: Console, held: Held) -> None:
    """Verdicts, causes, what is open, and the sum."""
    print_comparison(out, held.comparison)
    if held.job is not None and held.diagnosis is not None:
        print_causes(out, held.job.car, held.diagnosis)
    if held.too_many:
        out.print(Text(f"{too_many_words(held)}."))
    print_open(out, held.open_points, held.headline, held.readiness)


def print_comparison(out: Console, comparison: Comparison) -> None:
    """The verdicts, and the signs of a clear."""
    table = _table("module", "code", "verdict", "before", "now", "why")
    shown, left_out = _worst(comparison.judged)
    for one in shown:
        why = cut(f"{one.text}: {one.why}" if one.text else one.why)
        table.add_row(*map(Text, (one.module, one.code, str(one.verdict), one.before, one.after, why)))
    out.print(table if comparison.judged else Text("No code fails now or did before."))
    if left_out:
        counts = ", ".join(f"{count} {verdict}" for verdict, count in Counter(one.verdict for one in left_out).items())
        out.print(Text(f"{len(left_out)} more lines are left out here: {counts}. All of them: --json."))
    for sign in comparison.erased[:MOST_SIGNS]:
        out.print(Text(f"Erased in between: {cut(sign)}."))
    if len(comparison.erased) > MOST_SIGNS:
        out.print(Text(f"{len(comparison.erased) - MOST_SIGNS} more signs that codes were erased: --json."))


def _worst(judged: Sequence[Judged]) -> tuple[Sequence[Judged], Sequence[Judged]]:
    """All lines in their order where a person can read them, else the worst, and those that are left out."""
    if len(judged) <= MOST_LINES:
        return judged, ()
    worst = sorted(judged, key=lambda one: WORST_FIRST[one.verdict])
    return worst[:MOST_LINES], worst[MOST_LINES:]


def cut(text: str) -> str:
    """A text of one cell; one that is very long is cut, and says so.

    >>> cut("plain"), cut("x" * 400)[-27:]
    ('plain', 'xxx … (100 more characters)')
    """
    more = len(text) - MOST_OF_A_TEXT
    return f"{text[:MOST_OF_A_TEXT]} … ({more} more characters)" if more > 0 else text


def print_causes(out: Console, car: Car, diagnosis: Diagnosis) -> None:
    """Where to look first; nothing where there is no new code."""
    if not diagnosis.explanations:
        return
    out.print()
    out.print(Text("Where the new codes may come from, the likeliest first", style="bold"))
    table = _table("rank", "may be", "circuit", "rework", "chance")
    for one in diagnosis.explanations:
        table.add_row(*map(Text, _row(car, one)))
    out.print(table)
    if not diagnosis.suspects:
        out.print(Text(f"{NO_CIRCUIT}."))
    if not diagnosis.all_shown:
        out.print(Text("There are more explanations than are shown."))
    if diagnosis.approximate:
        out.print(Text("So many codes hang together that the chances are approximate."))
    for check in diagnosis.checks[:1]:
        out.print(Text(f"Look next: {car.items[check.item].name}, {check.minutes:g} min to get there and look."))


def print_first_cause(out: Console, car: Car, held: Held) -> None:
    """The likeliest cause and how much is open, in a line each."""
    if held.diagnosis is not None and held.diagnosis.explanations:
        name, circuit, rework = _row(car, held.diagnosis.explanations[0])[1:4]
        out.print(Text(f"Look first: {name} (circuit {circuit}), {rework} to get back to it."))
    out.print(Text(held.headline))


def _row(car: Car, one: Explanation) -> tuple[str, ...]:
    names = " and ".join(car.items[id].name for id in one.items) or "other cause"
    if one.items and one.other_codes:
        names += f"; other cause: {', '.join(code for _, code in one.other_codes)}"
    circuits = ", ".join(one.circuits) + (" (weak: by the code's family only)" if one.hint else "")
    minutes = "not known" if one.rework_minutes is None else f"{one.rework_minutes:g} min"
    return str(one.rank), names, circuits, minutes, f"{one.chance:.0%}"


def print_details(out: Console, car: Car, diagnosis: Diagnosis) -> None:
    """Each suspect by itself, what to look at next, and the weights."""
    if not diagnosis.explanations:
        out.print(Text("There is no new code that has to be explained."))
        return
    out.print()
    out.print(Text("Each by itself", style="bold"))
    table = _table("item", "chance", "codes", "cleared by", "rework", "tells")
    told = {check.item: check for check in diagnosis.checks}
    for one in diagnosis.suspects:
        codes = ", ".join(f"{module} {code}" for module, code in one.codes)
        cleared = ", ".join(f"{module} {code}" for module, code in one.cleared_by) or "-"
        tells = f"{told[one.item].bits:.2f} bit in {told[one.item].minutes:g} min"
        row = (car.items[one.item].name, f"{one.chance:.0%}", codes, cleared, f"{one.rework_minutes:g} min", tells)
        table.add_row(*map(Text, row))
    out.print(table)
    out.print(Text(f"None of them: {diagnosis.other_chance:.0%}."))
    weights = ", ".join(f"{name} {value:g}" for name, value in diagnosis.weights.listed())
    out.print(Text(f"Weights ({WHENCE}): {weights}."))


def print_open(out: Console, points: Sequence[str], headline: str, readiness: str) -> None:
    """Readiness, what is still open, and the sum."""
    out.print()
    out.print(Text(f"Readiness: {readiness}."))
    if points:
        out.print(Text("Still open", style="bold"))
        for point in points:
            out.print(Text(f"- {point}"))
    out.print(Text(headline))


def _table(*names: str) -> Table:
    table = Table(box=box.SIMPLE, pad_edge=False, show_edge=False)
    for name in names:
        table.add_column(name, overflow="fold")
    return table
