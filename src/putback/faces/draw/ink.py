"""One idea: a picture is a list of lines of SVG, drawn with ink on paper; classes say the meaning, never a colour.

All text goes through `clean`, so that a name from a car file cannot close a tag. Lengths are in user units (1 unit
is 1 pixel where the picture is shown in its own size).
"""

from collections.abc import Iterable, Mapping
from html import escape
from types import MappingProxyType

_LIGHT = MappingProxyType(
    {
        "paper": "#fbfaf7",
        "ink": "#20242a",
        "quiet": "#61656c",
        "hair": "#8d9198",
        "band": "#f1efe8",
        "accent": "#8f3a14",
    }
)
_DARK = MappingProxyType(
    {
        "paper": "#15171a",
        "ink": "#e9e6df",
        "quiet": "#a7abb1",
        "hair": "#7b8087",
        "band": "#1e2125",
        "accent": "#eda67c",
    }
)


def _colours(colours: Mapping[str, str]) -> str:
    """The colour of every class; a class of text, of areas or of lines."""
    fills = {"fill-paper": "paper", "fill-ink": "ink", "fill-band": "band", "fill-accent": "accent"}
    strokes = {"line-ink": "ink", "line-hair": "hair", "line-accent": "accent", "line-paper": "paper"}
    texts = {"text": "ink", "text-quiet": "quiet", "text-accent": "accent"}
    rules = [f".putback-picture .{name}{{fill:{colours[colour]}}}" for name, colour in (fills | texts).items()]
    rules += [f".putback-picture .{name}{{stroke:{colours[colour]}}}" for name, colour in strokes.items()]
    return "".join(rules)


STYLE = (
    ".putback-picture{font-family:system-ui,sans-serif;font-variant-numeric:tabular-nums}"
    ".putback-picture .line{fill:none}"
    f"{_colours(_LIGHT)}"
    f"@media screen and (prefers-color-scheme:dark){{{_colours(_DARK)}}}"
    "@media print{.putback-picture .fill-paper{fill:#fff}.putback-picture .line-paper{stroke:#fff}}"
)
"""Light, dark on a screen that asks for it, always light on paper."""


def clean(text: str) -> str:
    """Text as it may stand in XML: markup escaped, signs that XML does not know replaced.

    >>> clean('<b> & "q"')
    '&lt;b&gt; &amp; &quot;q&quot;'
    >>> clean("a" + chr(7)) == "a" + chr(0xFFFD)
    True
    """
    return escape(clean_text(text))


def clean_text(text: str) -> str:
    """Text without the signs that XML does not know; each leaves a replacement sign."""
    return "".join(sign if _known_to_xml(sign) else "\ufffd" for sign in text)


def number(value: float) -> str:
    """A length with one digit after the point at most.

    >>> number(12.04), number(-0.01)
    ('12', '0')
    """
    text = f"{value:.1f}".removesuffix(".0")
    return "0" if text == "-0" else text


def at(x: float, y: float) -> str:
    """A point as it stands in a path.

    >>> at(1.25, 30)
    '1.2 30'
    """
    return f"{number(x)} {number(y)}"


def text(
    x: float, y: float, words: str, *, size: float, tone: str = "text", anchor: str = "start", bold: bool = False
) -> str:
    """One line of text. `anchor`: start, middle or end stands at x; y is the baseline; `tone` is its class."""
    weight = ' font-weight="600"' if bold else ""
    side = "" if anchor == "start" else f' text-anchor="{anchor}"'
    return (
        f'<text x="{number(x)}" y="{number(y)}" font-size="{number(size)}"{weight}{side} class="{tone}">'
        f"{clean(words)}</text>"
    )


def path(steps: str, *, tone: str, thick: float | None = None, dashes: str = "") -> str:
    """A path, filled or stroked as its classes say."""
    stroke = f' stroke-width="{number(thick)}"' if thick is not None else ""
    dash = f' stroke-dasharray="{dashes}"' if dashes else ""
    return f'<path d="{steps}" class="{tone}"{stroke}{dash}/>'


def line(x1: float, y1: float, x2: float, y2: float, *, tone: str, thick: float = 1.0, dashes: str = "") -> str:
    """A straight line."""
    steps = f"M{number(x1)} {number(y1)}L{number(x2)} {number(y2)}"
    return path(steps, tone=f"line {tone}", thick=thick, dashes=dashes)


def box(
    x: float, y: float, wide: float, high: float, *, tone: str, thick: float | None = None, round_: float = 0
) -> str:
    """A rectangle from its upper left corner."""
    stroke = f' stroke-width="{number(thick)}"' if thick is not None else ""
    corner = f' rx="{number(round_)}"' if round_ else ""
    return (
        f'<rect x="{number(x)}" y="{number(y)}" width="{number(wide)}" height="{number(high)}"{corner}'
        f' class="{tone}"{stroke}/>'
    )


def dot(x: float, y: float, radius: float, *, tone: str, thick: float | None = None) -> str:
    """A circle."""
    stroke = f' stroke-width="{number(thick)}"' if thick is not None else ""
    return f'<circle cx="{number(x)}" cy="{number(y)}" r="{number(radius)}" class="{tone}"{stroke}/>'


def group(parts: Iterable[str], *, says: str = "", shift: tuple[float, float] | None = None) -> str:
    """Some parts together, with the words a pointer or a reader for the blind finds there."""
    move = f' transform="translate({number(shift[0])} {number(shift[1])})"' if shift else ""
    title = f"<title>{clean(says)}</title>" if says else ""
    return f"<g{move}>{title}{''.join(parts)}</g>"


def sheet(
    parts: Iterable[str], *, wide: float, high: float, title: str, says: str, inside: tuple[float, float] | None = None
) -> str:
    """A whole picture: an SVG element with its title, its description, its style and its paper.

    Args:
        parts: what is drawn.
        wide: width, in user units.
        high: height, in user units.
        title: what the picture is, in a few words.
        says: what it shows, in a sentence or two.
        inside: where it lies in a bigger sheet; None: it is a file of its own.
    """
    place = f' x="{number(inside[0])}" y="{number(inside[1])}"' if inside else ""
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="putback-picture" role="img"{place}'
        f' width="{number(wide)}" height="{number(high)}" viewBox="0 0 {number(wide)} {number(high)}">'
        f"<title>{clean(title)}</title><desc>{clean(says)}</desc><style>{STYLE}</style>"
    )
    paper = box(0, 0, wide, high, tone="fill-paper")
    return "\n".join([head, paper, *parts, "</svg>"]) + "\n"


def _known_to_xml(sign: str) -> bool:
    """XML 1.0, production 2 (Char)."""
    code = ord(sign)
    return code in (9, 10, 13) or 0x20 <= code <= 0xD7FF or 0xE000 <= code <= 0xFFFD or code >= 0x10000
