"""One idea: an address is read by a phone's camera from a screen; it holds an address and never a code or a token."""

from io import StringIO
from typing import Final

import segno
from markupsafe import Markup

_WHITE_ON_BLACK: Final = "\x1b[97;40m"
_AS_BEFORE: Final = "\x1b[0m"


def _code(address: str) -> segno.QRCode:
    return segno.make_qr(address, error="m", boost_error=False)


def drawing(address: str) -> Markup:
    """The code as a drawing of a page, on white paper whatever the page's colours are."""
    return Markup(_code(address).svg_inline(scale=6, border=4, light="#fff", title=address))  # segno escapes its title


def lines(address: str) -> str:
    """The code in half blocks for a terminal, dark on light whatever the terminal's colours are."""
    text = StringIO()
    _code(address).terminal(text, border=4, compact=True)
    *rows, last = text.getvalue().splitlines()
    light = [*rows, last.replace("▀", "█")]  # the row behind the margin is no edge
    return "\n".join(f"{_WHITE_ON_BLACK}{row}{_AS_BEFORE}" for row in light)
