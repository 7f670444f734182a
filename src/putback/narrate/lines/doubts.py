"""One idea: each line says what a person should look at, where enough speaks for it that the line is wrong."""

from collections.abc import Sequence
from dataclasses import replace

from putback.narrate.hearing.unheard import ONLY_WEIGHED
from putback.narrate.hearing.writing import NO_KIND
from putback.narrate.lines.said import Said
from putback.narrate.lines.seen import Found, Seen, seen
from putback.narrate.lines.signs import DOUBTFUL, HARDLY, MAYBE, TABLE, Sign
from putback.narrate.lines.signs_of_lines import of_numbers, of_order, of_twin, of_what_is_said
from putback.narrate.lines.signs_of_words import of_words
from putback.narrate.lines.twins import Link
from putback.narrate.phrase.phrases import Piece
from putback.narrate.sense.torques import NO_UNIT

_HEARD = {
    NO_KIND: Sign.NO_KIND,
    NO_UNIT: Sign.NO_UNIT,
    ONLY_WEIGHED: Sign.ONLY_WEIGHED,
    HARDLY: Sign.HARDLY,
    MAYBE: Sign.MAYBE,
}


def with_doubts(said: Sequence[Said], links: Sequence[Link], row: Sequence[Piece]) -> list[Said]:
    """The same operations with all that is doubtful of each, what was heard so already first.

    Args:
        said: the operations with their twins.
        links: how the twins were found.
        row: the pieces of the text; empty where there is no text.
    """
    return [replace(one, doubts=shown(found)) for one, found in zip(said, signs(said, links, row), strict=True)]


def signs(said: Sequence[Said], links: Sequence[Link], row: Sequence[Piece]) -> list[list[Found]]:
    """All that was found of each line, shown or not."""
    known = seen(said, links, row)
    return [_of_line(place, known) for place in range(len(said))]


def weight(found: Sequence[Found]) -> int:
    """How much speaks for it that a line is wrong; a sign that was found twice counts once."""
    return sum(TABLE[sign][0] for sign in {sign for sign, _ in found})


def shown(found: Sequence[Found]) -> tuple[str, ...]:
    """The words of all that was found, where it weighs enough."""
    if weight(found) < DOUBTFUL and not any(TABLE[sign][0] >= DOUBTFUL for sign, _ in found):
        return ()
    words = (TABLE[sign][1].format(about) for sign, about in found)
    return tuple(dict.fromkeys(each for each in words if each))


def _of_line(place: int, known: Seen) -> list[Found]:
    one = known.said[place]
    return [
        *((_HEARD.get(doubt, Sign.TOLD), doubt) for doubt in one.doubts),
        *of_what_is_said(place, known),
        *of_twin(place, known),
        *of_order(one, known),
        *of_numbers(one, known),
        *of_words(one, known),
    ]
