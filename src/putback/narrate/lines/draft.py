"""One idea: a draft is what was heard with its twins, doubts and questions, and what was left unused."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from putback.narrate.hearing.understand import operations
from putback.narrate.lines.aliases import NO_ALIASES, Aliases
from putback.narrate.lines.around import around
from putback.narrate.lines.doubts import with_doubts
from putback.narrate.lines.hardly_done import without_hardly_done
from putback.narrate.lines.questions import Account, Asked, questions
from putback.narrate.lines.said import Said
from putback.narrate.lines.twins import Link, links, with_twins
from putback.narrate.phrase.phrases import Piece, Sort
from putback.narrate.phrase.reading import read
from putback.narrate.phrase.segments import Segment
from putback.narrate.text.spoken import Spoken


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """What a person looks over: nothing in it is firm. `unused` are places in the text, from start up to end."""

    spoken: Spoken
    operations: tuple[Said, ...]
    questions: tuple[Asked, ...]
    unused: tuple[tuple[int, int], ...] = ()


def drafted(spoken: Spoken, *, aliases: Aliases = NO_ALIASES, high_voltage: bool | None = None) -> Draft:
    """The draft of what was said.

    >>> draft = drafted(Spoken(text="Unplug the horn. Fit the cover."))
    >>> [one.verb.value for one in draft.operations], draft.questions[0].text
    (['unplug', 'fit'], 'horn: plugged back in? not heard')
    """
    return of_operations(heard(spoken, aliases), spoken=spoken, aliases=aliases, high_voltage=high_voltage)


def heard(spoken: Spoken, aliases: Aliases = NO_ALIASES) -> list[Said]:
    """The operations that were heard and likely done, without twins."""
    said = operations(spoken)
    return without_hardly_done(said, links_in(spoken, said, aliases), spoken)


def links_in(spoken: Spoken, said: Sequence[Said], aliases: Aliases = NO_ALIASES) -> tuple[Link, ...]:
    """The twins of operations, with what stands around them in the text."""
    return links(said, aliases, around(said, read(spoken.text, spoken.breaks).segments))


def of_operations(
    said: Sequence[Said],
    *,
    spoken: Spoken,
    quotes: str = "",
    aliases: Aliases = NO_ALIASES,
    high_voltage: bool | None = None,
    settled: frozenset[int] = frozenset(),
) -> Draft:
    """The draft of operations that are known, from a text or as a person corrected them.

    Args:
        said: the operations, numbered from 1.
        spoken: the text that they stand on; empty where there is none.
        quotes: words from the text, where the text itself is not at hand.
        aliases: what things are called on this car.
        high_voltage: whether the car has high voltage; None: the words decide.
        settled: numbers of operations that have no twin but the one they come with, perhaps none.

    A twin that a person gave stands, and is not looked for.
    """
    known = read(spoken.text, spoken.breaks)
    found = links_in(spoken, said, aliases)
    also = {(link.back, link.way_in): link.also for link in found}
    kept = settled | {one.n for one in said if one.twin is not None}
    found = tuple(link for link in found if link.back not in kept)
    twinned = with_twins(said, found)
    twinned = [
        replace(old, also=old.also or also.get((old.n, old.twin or 0), ())) if old.n in kept else new
        for old, new in zip(said, twinned, strict=True)
    ]
    account = Account(
        said=twinned, text=spoken.text or quotes, links=found, aliases=aliases, high_voltage=high_voltage
    )
    return Draft(
        spoken=spoken,
        operations=tuple(with_doubts(twinned, found, known.pieces)),
        questions=questions(account),
        unused=unused(spoken, known.segments, twinned),
    )


def unused(spoken: Spoken, row: Sequence[Segment], said: Sequence[Said]) -> tuple[tuple[int, int], ...]:
    """Stretches that hold a part word, a number or a unit and gave no operation; neighbours are one."""
    used = sorted((one.start, one.end) for one in said)
    found: list[tuple[int, int]] = []
    place = 0
    for segment in row:
        if not segment.pieces:
            continue
        start, end = segment.pieces[0].start, segment.pieces[-1].end
        while place < len(used) and used[place][1] <= start:
            place += 1
        if place < len(used) and used[place][0] < end:
            continue
        if any(_tells(piece) for piece in segment.pieces):
            found.append((start, end))
    return _joined(found, spoken.text)


def _tells(piece: Piece) -> bool:
    return piece.sort in (Sort.NAME, Sort.QUANTITY) or piece.count is not None


def _joined(found: Sequence[tuple[int, int]], text: str) -> tuple[tuple[int, int], ...]:
    """Neighbours with nothing but a few signs between them as one; a full stop ends a stretch."""
    joined: list[tuple[int, int]] = []
    for start, end in found:
        between = text[joined[-1][1] : start] if joined else "."
        if joined and not set(between) & set(".!?\n") and len(between) < 12:
            joined[-1] = (joined[-1][0], end)
        else:
            joined.append((start, end))
    return tuple(joined)
