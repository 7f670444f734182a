"""One idea: a first quote in the terminal is a sum with its lines, and no sum at all where minutes are not known."""

from collections.abc import Iterator

from rich.markup import escape
from rich.text import Text

from putback.core.price import Quote
from putback.faces.names import NO_PRICE

Row = tuple[str | Text, str | Text]


def quote_rows(quote: Quote) -> Iterator[Row]:
    """What for, and the amount."""
    if quote.known:
        yield from _sum(quote)
    else:
        yield NO_PRICE, ""


def _sum(quote: Quote) -> Iterator[Row]:
    hours = f"{quote.minutes / 60:.1f} h at {quote.rate_per_hour:g} per hour"
    others = ", ".join(f"{name} {minutes:g}" for name, minutes in quote.other_minutes.items())
    detail = f"work {quote.work_minutes:g} min" + (f" + {others}" if others else "")
    yield escape(f"labour, {hours} ({detail})"), f"{quote.labour:,.2f}"
    if quote.labour_only:
        yield "labour only: no service of the car file sells exactly this", ""
    if quote.parts_total or quote.consumables:
        yield "parts and consumables", f"{quote.parts_total + quote.consumables:,.2f}"
    for name, paid in quote.sublet.items():
        yield escape(f"sublet: {name}"), f"{paid:,.2f}"
    yield Text("total", style="bold"), Text(f"{quote.total:,.2f}", style="bold")
    for addition in quote.additions:
        chance = "" if addition.chance is None else f", chance {addition.chance:.0%}"
        price = "open" if addition.open_ended else f"+{addition.total:,.2f}"
        yield escape(f"if found: {addition.trigger}{chance}"), price
    if quote.most != quote.total:
        yield "if all that is priced turns up", f"{quote.most:,.2f}"
