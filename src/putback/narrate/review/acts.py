"""One idea: each act of a review is one small function from a review to the next, or to the words why it cannot be.

What a person changes is confirmed with it: they have looked at the line.
"""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any, Final

from putback.core.operations import ON_THE_WAY_BACK, ON_THE_WAY_IN, TWIN, Verb
from putback.core.quantity import Refused, read_torque
from putback.core.record.review_kinds import Act
from putback.narrate.lines.said import Said
from putback.narrate.phrase.phrases import Sort, pieces
from putback.narrate.review.answers import ANSWERS, DONE, NEW_FITTED, NOT_THE_SAME, OWED, SAME, number_in
from putback.narrate.review.state import Answered, Review, Reviewed
from putback.narrate.review.step import Step
from putback.narrate.sense.things import kind_of

FIELDS: Final = ("verb", "object", "count", "size", "kind", "pattern", "zone", "tool", "tray", "slackened")
"""What `set` may change; a torque has an act of its own, because it brings its source."""

_MOST_COUNTED: Final = 100_000
_SOME: Final = re.compile(r": (\d{1,6}) slackened, (\d{1,6}) heard to be tight again;")
"""Some were heard to be tight again; the answer is of the others."""
_PIECE: Final = re.compile(r"\s*(?:(\d{1,5})\s*[x×]?\s+)?(.*\S)\s*")

_Doing = Callable[[Review, Step, str], "Review | str"]


def apply(review: Review, step: Step, who: str) -> Review | str:
    """The review after a step; the words why it cannot be done otherwise, and then nothing has changed.

    Args:
        review: what is known so far.
        step: any step but `undo`, which is for who keeps the steps.
        who: the person.
    """
    missing = [key for key in (*step.lines, *step.others) if review.line(key) is None]
    if step.other is not None and review.line(step.other) is None:
        missing.append(step.other)
    if missing:
        return f"there is no line {missing[0]} any more"
    if step.act in _OF_LINES and not step.lines:
        return f"{step.act}: no line is named"
    return _DOING[step.act](review, step, who)


def _accept(review: Review, step: Step, who: str) -> Review | str:
    if step.twins and len(step.twins) != len(step.lines):
        return "accept: there are not as many twins as lines"
    lines = _named(review, step)
    if step.twins:
        lines = [one.with_twin(twin or None) for one, twin in zip(lines, step.twins, strict=True)]
        wrong = next((one for one in lines if one.said.twin and not _may_be_twin(review, one, one.said.twin)), None)
        if wrong is not None:
            return f"line {wrong.said.twin} cannot be the twin of line {wrong.key}"
    return review.changed(replace(one, confirmed=who) for one in lines)


def _delete(review: Review, step: Step, _who: str) -> Review | str:
    """Its words are looked at with it: they are not asked again as words that were not used."""
    spans = frozenset((one.said.start, one.said.end) for one in _named(review, step) if not one.by_hand)
    return replace(review.without(step.lines), dismissed=review.dismissed | spans)


def _flip(review: Review, step: Step, who: str) -> Review | str:
    """The way in becomes the way back, and the other way round."""
    lines = _named(review, step)
    fixed = next((one for one in lines if one.said.verb not in _FLIPPED), None)
    if fixed is not None:
        return f"{fixed.said.verb} has no way back"
    held = {one.key for one in lines}
    pointing = [one for one in review.lines if one.said.twin in held]
    freed = [replace(one, said=replace(one.said, twin=None), settled=False) for one in pointing]
    turned = [
        replace(one, said=replace(one.said, verb=_FLIPPED[one.said.verb], twin=None), settled=False, confirmed=who)
        for one in lines
    ]
    return review.changed([*freed, *turned])


def _set(review: Review, step: Step, who: str) -> Review | str:
    if step.field not in FIELDS:
        return f"set: {step.field!r:.40} is no field; one of {', '.join(FIELDS)}"
    value = _value(step.field, step.value)
    if isinstance(value, _No):
        return value.why
    new: dict[str, Any] = {step.field: value}
    changed = [replace(one, said=replace(one.said, **new), confirmed=who) for one in _named(review, step)]
    if step.field == "verb":
        changed = [replace(one, said=replace(one.said, twin=None), settled=False) for one in changed]
    return review.changed(changed)


@dataclass(frozen=True, slots=True)
class _No:
    """Why a value cannot be."""

    why: str


def _value(field: str, text: str | None) -> "str | int | bool | Verb | _No | None":
    """The value of a field from its text; None where it is not said."""
    if field == "verb":
        verb = next((one for one in Verb if one == text), None)
        return verb or _No(f"{text!r:.40} is no verb; one of {', '.join(Verb)}")
    if field == "object":
        return text or _No("a line without a thing says nothing; name it, or delete the line")
    if field == "slackened":
        return text == "yes"
    if field == "count" and text is not None:
        if not text.isascii() or not text.isdecimal() or not 1 <= int(text[:9]) <= _MOST_COUNTED:
            return _No(f"count: {text!r:.40} is no whole number from 1; write it in digits, or leave it empty")
        return int(text)
    return text


def _merge(review: Review, step: Step, who: str) -> Review | str:
    """Several lines said the same: the first stays, with what the others know and it does not."""
    first, *others = _named(review, step)
    if not others:
        return "merge: name two lines or more"
    said = first.said
    for other in others:
        said = _filled(said, other.said)
    gone = {one.key for one in others}
    keys = frozenset(gone)
    moved = [
        replace(one, said=replace(one.said, twin=first.key))
        for one in review.lines
        if one.said.twin in keys and one.key not in keys
    ]
    kept = replace(first, said=said, source=next((one.source for one in (first, *others) if one.source), None))
    return review.changed([*moved, replace(kept, confirmed=who)]).without(gone)


def _filled(said: Said, other: Said) -> Said:
    fields = ("count", "size", "kind", "torque", "pattern", "zone", "tool", "tray", "seconds", "twin")
    more = {name: getattr(other, name) for name in fields if getattr(said, name) is None}
    if more.get("twin") == said.n:
        del more["twin"]
    return replace(said, **more, start=min(said.start, other.start), end=max(said.end, other.end))


def _split(review: Review, step: Step, who: str) -> Review | str:
    """One line said several things: each piece a line of its own, with its count in front where it has one."""
    (line, *more), pieces = _named(review, step), [_PIECE.fullmatch(text) for text in step.into]
    if more or len(pieces) < 2:
        return "split: name one line and two pieces or more"
    if None in pieces:
        return "split: a piece has no name"
    found = [_piece(line, match[1], match[2], who) for match in pieces if match is not None]
    review = review.changed([replace(found[0], said=replace(found[0].said, n=line.key))])
    behind = line.key
    for one in found[1:]:
        key = review.next_key
        review = review.with_line(one, behind=behind)
        behind = key
    return review


def _piece(line: Reviewed, count: str | None, name: str, who: str) -> Reviewed:
    said = replace(line.said, object=name, count=int(count) if count else None, twin=None)
    return replace(line, said=said, settled=False, confirmed=who)


def _twin(review: Review, step: Step, who: str) -> Review | str:
    lines = _named(review, step)
    if step.other is not None:
        wrong = next((one for one in lines if not _may_be_twin(review, one, step.other)), None)
        if wrong is not None:
            return f"line {step.other} cannot be the twin of line {wrong.key}: {wrong.said.verb} does not undo it"
    return review.changed(replace(one.with_twin(step.other), confirmed=who) for one in lines)


def _may_be_twin(review: Review, one: Reviewed, twin: int) -> bool:
    """Whether a line of the way back may undo another, which is before it."""
    other = review.line(twin)
    if other is None or one.said.verb not in ON_THE_WAY_BACK | {Verb.START} or other.said.verb not in ON_THE_WAY_IN:
        return False
    keys = [line.key for line in review.lines]
    return keys.index(twin) < keys.index(one.key)


def _rename(review: Review, step: Step, _who: str) -> Review | str:
    if not step.name or not step.value:
        return "rename: say the old name and the new one"
    old = step.name.casefold()
    called = [one for one in review.lines if one.said.object.casefold() == old]
    if not called:
        return f"rename: no line is called {step.name!r:.60}"
    aliases = review.aliases
    for name in dict.fromkeys(one.said.object for one in called):
        aliases = aliases.remembering(name, step.value)
    changed = [replace(one, said=replace(one.said, object=step.value)) for one in called]
    return replace(review.changed(changed), aliases=aliases)


def _torque(review: Review, step: Step, who: str) -> Review | str:
    """A torque with its source; where nobody said that it was tightened, that is a line which a person wrote."""
    if step.value is None:
        return "torque: no value; what nobody knows stays a value needed"
    try:
        read_torque(step.value)
    except Refused as wrong:
        return f"torque: {wrong.what}; {wrong.mend}"
    for line in _named(review, step):
        if line.said.verb is Verb.TIGHTEN:
            said = replace(line.said, torque=step.value)
            review = review.changed([replace(line, said=said, source=step.source, confirmed=who)])
        elif line.said.verb in (Verb.UNDO, Verb.START):
            said = replace(_way_back(review, line, Verb.TIGHTEN), torque=step.value)
            if line.said.verb is Verb.START:
                said = replace(said, twin=line.said.twin)
            new = Reviewed(said=said, source=step.source, settled=True, confirmed=who, by_hand=True)
            review = review.with_line(new)
        else:
            return f"line {line.key} tightens nothing"
    return review


def _first(review: Review, step: Step, who: str) -> Review | str:
    keys = [one.key for one in review.lines]
    for line in step.lines:
        late = next((other for other in step.others if keys.index(other) >= keys.index(line)), None)
        if late is not None:
            return f"line {late} does not come before line {line}"
    return review.changed(replace(one, first=step.others, confirmed=who) for one in _named(review, step))


def _add(review: Review, step: Step, who: str) -> Review | str:
    """A line that was not understood, on its words, or one that a person remembers."""
    verb = next((one for one in Verb if one == step.value), None)
    if verb is None or not step.name:
        return "add: say a verb of the list and a thing"
    length = len(review.spoken.text)
    start, end = step.span or (length, length)
    if end > length:
        return "add: its words are not in the text"
    second = review.spoken.second(start) if step.span else None
    said = Said(n=review.next_key, verb=verb, object=step.name, start=start, end=end, seconds=second)
    return review.with_line(Reviewed(said=_with_numbers(said), confirmed=who, by_hand=step.span is None))


def _with_numbers(said: Said) -> Said:
    """`four 10 mm pump bolts`, typed as the name of a line: its count, size and kind of fastener, and the thing."""
    row = pieces(said.object)
    name = row[0] if len(row) == 1 and row[0].sort is Sort.NAME else None
    if name is None:
        return said
    kind = kind_of(name.words) if said.verb in (Verb.UNDO, Verb.START) else None
    thing = " ".join(name.words) if name.count or name.size else said.object
    return replace(said, object=thing, count=name.count, size=name.size, kind=kind)


def _dismiss(review: Review, step: Step, _who: str) -> Review | str:
    """Nothing was done in words that gave no line."""
    found = frozenset(zip(step.spans[::2], step.spans[1::2], strict=False))
    if not found:
        return "dismiss: no words are named"
    if any(end > len(review.spoken.text) for _, end in found):
        return "dismiss: its words are not in the text"
    return replace(review, dismissed=review.dismissed | found)


def _answer(review: Review, step: Step, who: str) -> Review | str:
    value = step.value or ""
    number = number_in(value)
    if not (value in ANSWERS or number) or not step.kind or not step.text:
        return f"answer: one of {', '.join(ANSWERS)} or '4 is right', with the kind and the words of the question"
    line = step.lines[0] if step.lines else None
    review = review.answering(Answered(kind=step.kind, line=line, text=step.text, answer=value, who=who))
    effect = _EFFECTS.get((step.kind, value))
    if line is None:
        return effect(review, step, who) if effect and step.kind in _WITHOUT_LINE else review
    if number and step.kind == "count_mismatch":
        return _counted(review, step, who)
    if effect is None and step.kind in OWED and value == DONE:
        effect = _with_way_back
    return effect(review, step, who) if effect else review


def _with_way_back(review: Review, step: Step, who: str) -> Review | str:
    """The twin that was done and not said, as a line that a person wrote."""
    line = review.line(step.lines[0])
    assert line is not None
    verb = TWIN.get(line.said.verb)
    if verb is None or line.said.verb not in ON_THE_WAY_IN:
        return f"{line.said.verb} has no way back"
    said = _way_back(review, line, verb)
    some = _SOME.search(step.text or "")
    if some:
        said = replace(said, count=int(some[1]) - int(some[2]))
    return review.with_line(Reviewed(said=said, settled=True, confirmed=who, by_hand=True))


def _way_back(review: Review, line: Reviewed, verb: Verb) -> Said:
    """The twin of a line, as nobody has said it."""
    length = len(review.spoken.text)
    return Said(
        n=review.next_key,
        verb=verb,
        object=line.said.object,
        count=line.said.count,
        size=line.said.size,
        kind=line.said.kind,
        start=length,
        end=length,
        twin=line.key,
    )


def _counted(review: Review, step: Step, who: str) -> Review | str:
    """The lines that said the other number say the right one."""
    number = number_in(step.value or "")
    lines = (review.line(key) for key in step.others)
    new = (replace(one, said=replace(one.said, count=number), confirmed=who) for one in lines if one)
    return review.changed(new)


def _with_new_part(review: Review, step: Step, who: str) -> Review | str:
    """A part that was said to be used again was renewed: a line that a person wrote, if there is none of it."""
    name = (step.text or "").partition(":")[0].strip()
    if any(one.said.verb is Verb.RENEW and one.said.object.casefold() == name.casefold() for one in review.lines):
        return review
    length = len(review.spoken.text)
    said = Said(n=review.next_key, verb=Verb.RENEW, object=name, start=length, end=length)
    return review.with_line(Reviewed(said=said, confirmed=who, by_hand=True))


def _taken_as_one(review: Review, step: Step, who: str) -> Review | str:
    """Two names are of one thing: the later one is an alias of the one under which it came off."""
    line = review.line(step.lines[0])
    other = review.line(step.other) if step.other is not None else None
    if line is None or other is None:
        return "answer: say with which line it is the same"
    old, new = line.said.object, other.said.object
    aliases = review.aliases if old == new else review.aliases.remembering(old, new)
    return replace(review, aliases=aliases).changed([replace(line.with_twin(other.key), confirmed=who)])


def _kept_apart(review: Review, step: Step, _who: str) -> Review | str:
    line = review.line(step.lines[0])
    assert line is not None
    return review.changed([line.with_twin(None)])


def _high_voltage(review: Review, step: Step, _who: str) -> Review | str:
    if step.value not in ("yes", "no"):
        return "high voltage: yes or no"
    return replace(review, high_voltage=step.value == "yes")


def _not_here(_review: Review, _step: Step, _who: str) -> Review | str:
    return "undo: a step is undone where the steps are kept"


def _named(review: Review, step: Step) -> Sequence[Reviewed]:
    return [line for key in step.lines if (line := review.line(key)) is not None]


_FLIPPED: Final[Mapping[Verb, Verb]] = MappingProxyType({**TWIN, Verb.START: Verb.UNDO})
_OF_LINES: Final = frozenset(
    {Act.ACCEPT, Act.DELETE, Act.FLIP, Act.SET, Act.MERGE, Act.SPLIT, Act.TWIN, Act.TORQUE, Act.FIRST}
)
_EFFECTS: Final[Mapping[tuple[str, str], _Doing]] = MappingProxyType(
    {
        ("same_as", SAME): _taken_as_one,
        ("same_as", NOT_THE_SAME): _kept_apart,
        ("consumable_reused", NEW_FITTED): _with_new_part,
    }
)
_WITHOUT_LINE: Final = frozenset({"consumable_reused"})
"""Kinds of questions of the whole job whose answer may make a line."""
_DOING: Final[Mapping[Act, _Doing]] = MappingProxyType(
    {
        Act.ACCEPT: _accept,
        Act.DELETE: _delete,
        Act.FLIP: _flip,
        Act.SET: _set,
        Act.MERGE: _merge,
        Act.SPLIT: _split,
        Act.TWIN: _twin,
        Act.RENAME: _rename,
        Act.TORQUE: _torque,
        Act.FIRST: _first,
        Act.ADD: _add,
        Act.DISMISS: _dismiss,
        Act.ANSWER: _answer,
        Act.HIGH_VOLTAGE: _high_voltage,
        Act.UNDO: _not_here,
    }
)
