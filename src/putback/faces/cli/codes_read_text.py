"""One idea: a read in the terminal is one line for each module; an unknown one stands there with what it said.

A module that was heard and cannot be asked has its line like any other, and below stands how it may be asked.
"""

from collections.abc import Iterator, Sequence
from typing import Any, Final

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from putback.core.codes.lists.listing import Listed, module_under
from putback.core.codes.meaning.vin import check_vin
from putback.core.codes.talk.car_read import CarRead, How, ModuleRead
from putback.faces.cli.plan_text import console

MOST_CODES: Final = 12
_WORDS: Final = {
    How.ANSWERED: "answered",
    How.PARTIAL: "list cut off",
    How.REFUSED: "unknown: refused",
    How.SILENT: "unknown: silent",
}


def print_read(read: CarRead, file: str, *, swept: bool, like: bool) -> None:
    """What each module answered, then what is to be known of the whole.

    Args:
        read: what was read.
        file: where it is saved.
        swept: every id was tried.
        like: the modules of an earlier list were asked, and none was looked for.
    """
    out = console()
    rows = table("module", "ids", "answer", "codes with status, or what it said")
    for one in read.modules:
        rows.add_row(*map(Text, (one.module, str(one.pair), _WORDS[one.how], _codes(one))))
    for id in read.unasked:
        said = "by which id it is asked, is not known"
        rows.add_row(*map(Text, (module_under(id), f"?/{id}", "unknown: not asked", said)))
    out.print(rows)
    for line in _closing(read):
        out.print(Text(line))
    if read.unasked:
        out.print(Text(_how_to_ask(read.unasked, swept=swept, like=like)))
    _notes(out, read)
    out.print(Text(f"Saved in {file}."))


def table(*names: str) -> Table:
    """A table without lines, so that it reads in a pipe as well."""
    found = Table(box=box.SIMPLE, pad_edge=False, show_edge=False)
    for name in names:
        found.add_column(name, overflow="fold")
    return found


def codes_words(listed: Sequence[Listed]) -> str:
    """The codes with their status, the first of them by name."""
    shown = ", ".join(f"{line.code} {line.status}" for line in listed[:MOST_CODES])
    more = len(listed) - MOST_CODES
    return f"{shown} and {more} more" if more > 0 else shown or "none listed"


def _codes(one: ModuleRead) -> str:
    said = "; ".join(one.said)
    if one.how in (How.SILENT, How.REFUSED):
        return said
    return codes_words(one.listed) if one.how is How.ANSWERED else f"{codes_words(one.listed)}; {said}"


def _closing(read: CarRead) -> Iterator[str]:
    if read.stopped:
        yield f"Not whole: {read.stopped}."
    yield f"Read {read.at} over {read.bus}."
    if read.vin:
        yield "; ".join((f"Vehicle number: {read.vin}", *check_vin(read.vin).warnings)) + "."
    listing = read.listing("")
    if listing.readiness is not None:
        yield f"Readiness: {listing.readiness.supported} self-tests supported, {listing.readiness.complete} complete."
    if listing.permanent is not None:
        yield f"Permanent codes: {', '.join(listing.permanent) or 'none'}."
    if read.unknown:
        yield f"Unknown, or not to the end: {', '.join(read.unknown)}. What they hold is not known."


def _how_to_ask(unasked: Sequence[str], *, swept: bool, like: bool) -> str:
    """What a person may do, so that modules that were heard can be asked."""
    if swept:
        return (
            "A module that was heard and not paired may be a second answer of another. Where you know its id, add "
            f"# module NAME: ID/{unasked[0]} to the list and read with --like."
        )
    lengths = {len(id) for id in unasked}
    which = "both" if len(lengths) > 1 else "11" if lengths == {3} else "29"
    without = "without --like, " if like else ""
    return (
        f"To ask those that were heard: read again, {without}with --sweep {which} --stationary, the vehicle standing."
    )


def _notes(out: Console, read: CarRead) -> None:
    for note in read.notes:
        out.print(Text(f"- {note}"))
    for one in read.modules:
        for note in one.notes:
            out.print(Text(f"- {one.module}: {note}"))


def read_json(read: CarRead) -> dict[str, Any]:
    """The read as JSON."""
    listing = read.listing("")
    return {
        "stage": read.stage,
        "at": read.at,
        "bus": read.bus,
        "vehicle_number": read.vin,
        "stopped": read.stopped,
        "modules": [module_json(one) for one in read.modules],
        "readiness": readiness_json(listing.readiness),
        "permanent": None if listing.permanent is None else list(listing.permanent),
        "heard": list(read.unasked),
        "unknown_modules": list(read.unknown),
        "notes": list(read.notes),
    }


def module_json(one: ModuleRead) -> dict[str, Any]:
    """What one module answered, as JSON."""
    return {
        "module": one.module,
        "pair": str(one.pair),
        "how": str(one.how),
        "codes": [code_json(line) for line in one.listed],
        "permanent": None if one.permanent is None else list(one.permanent),
        "readiness": readiness_json(one.readiness),
        "said": list(one.said),
        "notes": list(one.notes),
        "took_s": round(one.took_s, 3),
    }


def code_json(line: Listed) -> dict[str, Any]:
    """One code, as JSON."""
    return {"module": line.module, "code": line.code, "status": f"{line.bits:02X}", "mask": f"{line.mask:02X}"}


def readiness_json(readiness: Any) -> dict[str, int] | None:
    """Self-tests, as JSON."""
    return None if readiness is None else {"supported": readiness.supported, "complete": readiness.complete}
