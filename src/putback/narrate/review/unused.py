"""One idea: words that gave no line are shown by the sentence, because a person reads sentences and not stretches."""

import re
from bisect import bisect_left
from collections.abc import Sequence
from typing import Final

SENTENCE_ENDS: Final = re.compile(r"[.!?](?=\s)|\n\s*\n")
MOST: Final = 240
"""A place to look at, [signs]; captions often have no full stop."""


def by_sentence(spans: Sequence[tuple[int, int]], text: str, lines: Sequence[int]) -> tuple[tuple[int, int], ...]:
    """Stretches of one sentence as one, unless a line stands between them.

    Args:
        spans: where each stretch starts and ends, in their order.
        text: the text that they are of.
        lines: where the words of lines start, in their order.

    >>> by_sentence([(0, 8), (13, 21), (23, 30)], "The bolt, and the clip. A nut is", [])
    ((0, 21), (23, 30))
    """
    joined: list[tuple[int, int]] = []
    for start, end in spans:
        if joined and _goes_on(joined[-1], start, end, text, lines):
            joined[-1] = (joined[-1][0], end)
        else:
            joined.append((start, end))
    return tuple(joined)


def _goes_on(last: tuple[int, int], start: int, end: int, text: str, lines: Sequence[int]) -> bool:
    if end - last[0] > MOST or SENTENCE_ENDS.search(text, last[1], start + 1):
        return False
    place = bisect_left(lines, last[1])
    return place == len(lines) or lines[place] >= start
