"""One idea: whether a line of a text ends what was being said, or is only where the page was full.

Notes are written a line for each thing; a dictated text is folded anywhere. Folded lines end in small words ("the",
"and", "to") as often as these are spoken; lines of notes hardly ever do.
"""

from collections.abc import Sequence

from putback.narrate.words import lexicon

_HANGING = (
    lexicon.DETERMINERS | lexicon.SUBJECTS | lexicon.AUXILIARIES | lexicon.JOINS | {"of", "to", "at", "with", "for"}
)
_OFTEN = 0.06


def end_sentences(lines: Sequence[str]) -> bool:
    """Whether the lines of a text are sentences.

    >>> end_sentences(["cover off", "two bolts out"]), end_sentences(["take the", "cover off and", "then the bolts"])
    (True, False)
    """
    last = [words[-1].lower() for line in lines if (words := line.split())]
    return sum(word in _HANGING for word in last) <= _OFTEN * len(last)
