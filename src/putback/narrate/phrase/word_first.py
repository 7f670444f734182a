"""One idea: some notes put what is done before the thing: `off: lid, 6 clips.`, `cracked: the 3 motor bolts.`

They are read as if they were said in the usual order (`lid off, 6 clips`, `cracked the 3 motor bolts`); what is heard
still begins at the word that was said first.
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from putback.narrate.phrase.phrases import Piece, Sort
from putback.narrate.words import lexicon

_HABIT: Final = 4
"""So often in a text at least; one such beginning may be a heading (`In: …`)."""
_WHERE_TO: Final = lexicon.words_of("off out on in back up down away apart")
_ENDS: Final = (Sort.COMMA, Sort.STOP)
_SAYS_MORE: Final = (Sort.PARTICLE, Sort.VERB, Sort.OTHER_VERB, Sort.SUBJECT)


def in_usual_order(row: Sequence[Piece]) -> Sequence[Piece]:
    """The pieces of a text, each such word behind its thing, or before it without a colon.

    Args:
        row: the pieces, in the order of the text.
    """
    first = [n for n in range(len(row)) if _leads(row, n)]
    if len(first) < _HABIT:
        return row
    found: list[Piece] = []
    done = 0
    for n in first:
        found += row[done:n]
        name = next(k for k in range(n + 2, len(row)) if row[k].sort is Sort.NAME)
        if row[n].sort is Sort.VERB:
            found += [row[n], *row[n + 2 : name + 1]]
        else:
            place = row[name].end
            thing = [replace(row[n + 2], start=row[n].start), *row[n + 3 : name + 1]]
            found += [*thing, replace(row[n], start=place, end=place)]
        done = name + 1
    return [*found, *row[done:]]


def _leads(row: Sequence[Piece], n: int) -> bool:
    """Whether a word stands alone before a colon and a thing, with nothing else that is done to it."""
    if n and row[n - 1].sort is not Sort.STOP:
        return False
    if [one.low for one in row[n + 1 : n + 2]] != [":"] or not _tells(row[n]):
        return False
    end = next((k for k in range(n + 2, len(row)) if row[k].sort in _ENDS), len(row))
    name = next((k for k in range(n + 2, end) if row[k].sort is Sort.NAME), None)
    return name is not None and not any(one.sort in _SAYS_MORE for one in row[n + 2 : end])


def _tells(one: Piece) -> bool:
    past = one.sort is Sort.VERB and lexicon.is_participle(one.low)
    return past or (one.sort is Sort.PARTICLE and one.low in _WHERE_TO)
