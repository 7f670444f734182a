"""One idea: a line that was likely only spoken of is left out; its clues are weighed, as measured on labelled texts.

The weights are in `narrate/weighing/done.csv` (docs/decisions/0013-weights.md). What is left out is shown in grey, as
all words that gave nothing.
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from putback.core.operations import Verb
from putback.narrate.lines.done_clues import clues
from putback.narrate.lines.said import Said
from putback.narrate.lines.signs import HARDLY, MAYBE
from putback.narrate.lines.twins import Link
from putback.narrate.text.spoken import Spoken
from putback.narrate.weighing import weights
from putback.narrate.weighing.likeness import of_text

LIKELY: Final = 0
"""Below these odds, in hundredths of their logarithm, a line was likely not done."""
MAYBE_DONE: Final = 100
SURE: Final = 200
"""From these odds on a line is taken as done, and bears no doubt of it."""
_NEVER_LEFT_OUT: Final = frozenset({Verb.ISOLATE})
"""Without it nobody would ask whether it was proved dead and connected again; of the others the lack is asked."""


def without_hardly_done(said: Sequence[Said], links: Sequence[Link], spoken: Spoken) -> list[Said]:
    """The lines that were likely done, numbered anew; they have no twins yet.

    Args:
        said: what was heard.
        links: how the twins of it were found.
        spoken: the text.
    """
    if not of_text(spoken.text, spoken.breaks).long_enough:
        return list(said)
    table = weights.read("done")
    weighed = [(one, table.odds(seen)[0]) for one, seen in zip(said, clues(said, links, spoken), strict=True)]
    kept = [
        replace(one, doubts=(*one.doubts, *_doubt(odds))) if odds < SURE else one
        for one, odds in weighed
        if odds >= LIKELY or one.verb in _NEVER_LEFT_OUT
    ]
    return [replace(one, n=n) if one.n != n else one for n, one in enumerate(kept, start=1)]


def _doubt(odds: int) -> tuple[str, ...]:
    """What is doubtful of a line that may not have been done."""
    return (HARDLY,) if odds < MAYBE_DONE else (MAYBE,) if odds < SURE else ()
