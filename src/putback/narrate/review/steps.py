"""One idea: a review is its steps, folded over the draft; an undone step drops out, a misfit is told."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from putback.core.record.review_kinds import Act
from putback.narrate.review.acts import apply
from putback.narrate.review.state import Review
from putback.narrate.review.step import Step


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """A step with its id and the person whose it is."""

    id: str
    who: str
    step: Step


@dataclass(frozen=True, kw_only=True)
class Folded:
    """A review as its steps tell it. `standing` are those that count, `misfits` ids with the words why they do not."""

    review: Review
    standing: tuple[Taken, ...]
    misfits: tuple[tuple[str, str], ...]


def fold(begun: Review, steps: Iterable[Taken]) -> Folded:
    """Fold the steps of a review over its draft, in their order. Any sequence folds.

    An undo names the step that it takes out; an undo that is undone counts no more.
    """
    known = list({one.id: one for one in steps}.values())
    review, standing, misfits = begun, [], []
    undone = _undone(known)
    for one in known:
        if one.id in undone or one.step.act is Act.UNDO:
            continue
        after = apply(review, one.step, one.who)
        if isinstance(after, str):
            misfits.append((one.id, after))
            continue
        review = after
        standing.append(one)
    return Folded(review=review, standing=tuple(standing), misfits=tuple(misfits))


def _undone(steps: Sequence[Taken]) -> frozenset[str]:
    """The ids of steps that do not count: the last undo is looked at first, so that an undo can be undone."""
    undone: set[str] = set()
    for one in reversed(steps):
        if one.step.act is Act.UNDO and one.id not in undone and one.step.step is not None:
            undone.add(one.step.step)
    return frozenset(undone)
