"""One idea: a step of a review is one of a closed list, with what it is done to; it comes as JSON and is kept so.

A step says what the person saw: accepting a line also says the twin that stood beside it, so that a later program,
which may pair otherwise, cannot change what was confirmed.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from operator import gt
from typing import Any, Final

from putback.core.record.review_kinds import Act

LONGEST: Final = 200
"""A text in a step, [signs]."""
MOST: Final = 2000
"""Lines in one step."""
_LARGEST: Final = 10**9


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step. Lines are named by their keys, which never change in a review.

    Args:
        act: what is done.
        lines: to which lines.
        twins: for `accept`, the twin of each of these lines as the person saw it; 0 for none.
        other: the other line; None for none.
        others: other lines.
        field: which field of a line, for `set`.
        value: what it becomes; None: not said.
        name: the name that is changed, or the thing of a line that is added.
        into: the names of the pieces that a line is split into.
        span: the words that an added line stands on.
        spans: for `dismiss`, where each stretch starts and ends, one after the other.
        source: where a torque comes from.
        kind: the kind of a question.
        text: the words of a question.
        step: the id of the step that is undone.
        part: which of the steps of one key this is, counted from 1; None: the key does this one alone.
    """

    act: Act
    lines: tuple[int, ...] = ()
    twins: tuple[int, ...] = ()
    other: int | None = None
    others: tuple[int, ...] = ()
    field: str | None = None
    value: str | None = None
    name: str | None = None
    into: tuple[str, ...] = ()
    span: tuple[int, int] | None = None
    spans: tuple[int, ...] = ()
    source: str | None = None
    kind: str | None = None
    text: str | None = None
    step: str | None = None
    part: int | None = None

    def body(self) -> dict[str, Any]:
        """The step as JSON values, what is not said left out."""
        found: dict[str, Any] = {"act": str(self.act)}
        for name in _NUMBERS_OF:
            if getattr(self, name):
                found[name] = list(getattr(self, name))
        if self.into:
            found["into"] = list(self.into)
        for name in ("other", "part", *_TEXTS):
            if getattr(self, name) is not None:
                found[name] = getattr(self, name)
        return found


_NUMBERS_OF: Final = ("lines", "twins", "others", "span", "spans")
_TEXTS: Final = ("field", "value", "name", "source", "kind", "text", "step")


def read_step(body: Mapping[str, Any]) -> Step | tuple[str, ...]:
    """A step from JSON values; all that is wrong with it otherwise.

    >>> read_step({"act": "delete", "lines": [3]}).lines
    (3,)
    >>> read_step({"act": "eat", "lines": "all"})
    ("act: 'eat' is not known; accept, delete, flip, set, merge, split, twin, rename, torque, first, add, dismiss, \
answer, high voltage or undo", 'lines: it is no list of whole numbers')
    """
    wrong = tuple(_wrong(body))
    if wrong:
        return wrong
    numbers = {name: tuple(int(one) for one in body.get(name) or ()) for name in _NUMBERS_OF}
    span = numbers["span"]
    return Step(
        act=Act(body["act"]),
        lines=numbers["lines"],
        twins=numbers["twins"],
        others=numbers["others"],
        span=(span[0], span[1]) if span else None,
        spans=numbers["spans"],
        other=body.get("other"),
        into=tuple(body.get("into") or ()),
        field=body.get("field"),
        value=body.get("value"),
        name=body.get("name"),
        source=body.get("source"),
        kind=body.get("kind"),
        text=body.get("text"),
        step=body.get("step"),
        part=body.get("part"),
    )


def _wrong(body: Mapping[str, Any]) -> Iterator[str]:
    if body.get("act") not in list(Act):
        *most, last = map(str, Act)
        yield f"act: {body.get('act')!r:.40} is not known; {', '.join(most)} or {last}"
    for name in _NUMBERS_OF:
        value = body.get(name)
        if value is not None and not _are_numbers(value):
            yield f"{name}: it is no list of whole numbers"
        elif value is not None and len(value) > MOST:
            yield f"{name}: it has more than {MOST}"
    span = body.get("span")
    if _are_numbers(span) and span and (len(span) != 2 or span[0] > span[1]):
        yield "span: it is no [start, end]"
    spans = body.get("spans")
    if _are_numbers(spans) and spans and (len(spans) % 2 or any(map(gt, spans[::2], spans[1::2]))):
        yield "spans: it is no [start, end, start, end and so on]"
    for name in ("other", "part"):
        if body.get(name) is not None and not _is_number(body[name]):
            yield f"{name}: it is no whole number"
    into = body.get("into")
    if into is not None and not (isinstance(into, list | tuple) and all(map(_is_text, into)) and len(into) <= MOST):
        yield f"into: it is no list of texts of at most {LONGEST} signs"
    for name in _TEXTS:
        if body.get(name) is not None and not _is_text(body[name]):
            yield f"{name}: it is no text of 1 to {LONGEST} signs on one line"


def _are_numbers(value: Any) -> bool:
    return isinstance(value, list | tuple) and all(map(_is_number, value))


def _is_number(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and 0 <= value <= _LARGEST


def _is_text(value: Any) -> bool:
    return isinstance(value, str) and bool(value.strip()) and len(value) <= LONGEST and value.isprintable()
