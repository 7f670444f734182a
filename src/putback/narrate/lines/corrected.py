"""One idea: operations that a person corrected are read from JSON: as the program writes them, or as labels.

Labels are the words of a hand that marks a text (`loosen`, `aside`, `guard_on`, `torque`) with places as `pos`.
"""

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, Final

from putback.core.finding import Finding, Where
from putback.core.operations import Verb
from putback.narrate.lines.aliases import words_of_name
from putback.narrate.lines.said import Said

_LABELS: Final[Mapping[str, Verb]] = MappingProxyType(
    {
        "loosen": Verb.UNDO,
        "aside": Verb.SWING_ASIDE,
        "plug_in": Verb.PLUG_IN,
        "torque": Verb.TIGHTEN,
        "guard_on": Verb.GUARD,
        "guard_off": Verb.UNGUARD,
        "scan": Verb.READ_BEFORE,
        "verify": Verb.PROVE_DEAD,
        "replace": Verb.RENEW,
        "bleed": Verb.NOTE,
        "clear_codes": Verb.NOTE,
    }
)
_WORDS: Final = ("size", "kind", "torque", "pattern", "zone", "tool", "tray", "condition")
_AS_FASTENERS: Final = MappingProxyType({Verb.REMOVE: Verb.UNDO, Verb.FIT: Verb.START})
_FASTENERS: Final = frozenset({(kind,) for kind in ("bolt", "nut", "screw", "stud", "clip")})
_LONGEST: Final = 100_000
_LONGEST_S: Final = 10_000_000
_FARTHEST: Final = 10**9


@dataclass(frozen=True, slots=True, kw_only=True)
class Corrected:
    """Operations from a file, with the text that they stand on where the file gives it, or quotes from it."""

    operations: tuple[Said, ...]
    spoken: str = ""
    quotes: str = ""


def read_corrected(data: bytes, name: str) -> Corrected | tuple[Finding, ...]:
    """Read corrected operations; everything that is wrong with the file, where something is.

    Args:
        data: a JSON list of operations, or an object with `operations` (or `ops`) and perhaps `spoken`.
        name: the file, for findings.
    """
    try:
        value = json.loads(data.decode("utf-8-sig"))
    except (ValueError, RecursionError) as error:
        what = f"it is no JSON: {error}"
        return (_wrong(name, None, "", what, "give the operations as `putback narrate --json` writes them"),)
    rows = value.get("operations", value.get("ops")) if isinstance(value, dict) else value
    if not isinstance(rows, list) or len(rows) > _LONGEST:
        what = f"it has no list of operations of at most {_LONGEST}"
        return (_wrong(name, None, "operations", what, 'write {"operations": [ … ]}'),)
    return _read(rows, value if isinstance(value, dict) else {}, name)


def _read(rows: list[Any], whole: Mapping[str, Any], name: str) -> Corrected | tuple[Finding, ...]:
    problems = [problem for n, row in enumerate(rows, start=1) for problem in _problems(n, row, name)]
    spoken = whole.get("spoken", "")
    if not isinstance(spoken, str) or any("\ud800" <= sign <= "\udfff" for sign in spoken):
        problems.append(_wrong(name, None, "spoken", "it is no text", "give the spoken text, or leave it away"))
    if problems:
        return tuple(problems)
    places = {row["n"] if row.get("n") is not None else n: n for n, row in enumerate(rows, start=1)}
    problems = list(_wrong_twins(rows, places, name))
    if problems:
        return tuple(problems)
    said = tuple(_said(n, row, places) for n, row in enumerate(rows, start=1))
    quotes = ". ".join(row["quote"] for row in rows if isinstance(row.get("quote"), str))
    return Corrected(operations=said, spoken=spoken, quotes=quotes)


def _wrong_twins(rows: list[Any], places: Mapping[int, int], name: str) -> Iterator[Finding]:
    """A twin is an operation before its own."""
    for n, row in enumerate(rows, start=1):
        twin = row.get("twin")
        if twin is not None and places.get(twin, n) >= n:
            yield _wrong(name, n, "twin", f"no operation before it has the number {twin}", "its number, or null")
        for other in row.get("also") or ():
            if places.get(other, n) >= n:
                yield _wrong(name, n, "also", f"no operation before it has the number {other}", "numbers before it")


def _problems(n: int, row: Any, name: str) -> Iterator[Finding]:
    if not isinstance(row, dict):
        yield _wrong(name, n, "", "it is no operation", 'write {"verb": "remove", "object": "fan", …}')
        return
    if _verb(row) is None:
        known = ", ".join([*map(str, Verb), *_LABELS])
        yield _wrong(name, n, "verb", f"{str(row.get('verb'))[:40]!r} is not known", f"one of: {known}")
    for field in ("object", *_WORDS):
        if not isinstance(row.get(field), str | None):
            yield _wrong(name, n, field, "it is no text", "write it in quotes, or null")
        elif not (row.get(field) or "").isprintable():
            yield _wrong(name, n, field, "it has a sign that cannot be printed", "write letters and digits")
    for field, least, most in (
        ("count", 1, 100_000),
        ("n", 1, 1_000_000),
        ("twin", 1, 1_000_000),
        ("pos", 0, _FARTHEST),
    ):
        number = row.get(field)
        if number is not None and (not _is_whole(number) or not least <= number <= most):
            yield _wrong(name, n, field, "it is no whole number in reach", f"a number from {least} to {most}, or null")
    also = row.get("also")
    if also is not None and not (isinstance(also, list) and all(map(_is_whole, also))):
        yield _wrong(name, n, "also", "it is no list of whole numbers", "numbers of operations, or leave it out")
    span = row.get("span")
    if span is not None and not _is_span(span):
        yield _wrong(
            name, n, "span", "it is not [start, end]", "two places in the text, the first not after the second"
        )
    seconds = row.get("seconds")
    if seconds is not None and not _is_time(seconds):
        yield _wrong(name, n, "seconds", "it is no time in reach", f"seconds from 0 to {_LONGEST_S:,}, or null")


def _is_time(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and 0 <= value <= _LONGEST_S


def _is_whole(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool)


def _is_span(span: Any) -> bool:
    return (
        isinstance(span, list)
        and len(span) == 2
        and all(map(_is_whole, span))
        and 0 <= span[0] <= span[1] <= _FARTHEST
    )


def _verb(row: Mapping[str, Any]) -> Verb | None:
    word = row.get("verb")
    if not isinstance(word, str):
        return None
    return _LABELS.get(word) or next((verb for verb in Verb if verb.value == word), None)


def _said(n: int, row: Mapping[str, Any], places: Mapping[int, int]) -> Said:
    verb = _verb(row)
    assert verb is not None
    if _is_fastener(row):
        verb = _AS_FASTENERS.get(verb, verb)
    start, end = row.get("span") or (row.get("pos") or 0, row.get("pos") or 0)
    twin = row.get("twin")
    return Said(
        n=n,
        verb=verb,
        object=row.get("object") or "",
        start=start,
        end=end,
        count=row.get("count"),
        seconds=row.get("seconds"),
        twin=places.get(twin) if twin is not None else None,
        also=tuple(places[other] for other in row.get("also") or ()),
        condition=row.get("condition"),
        slackened=row.get("verb") == "loosen" or bool(row.get("slackened")),
        size=row.get("size"),
        kind=row.get("kind"),
        torque=row.get("torque"),
        pattern=row.get("pattern"),
        zone=row.get("zone"),
        tool=row.get("tool"),
        tray=row.get("tray"),
    )


def _is_fastener(row: Mapping[str, Any]) -> bool:
    """Whether an operation is on what holds something: by its kind, or else by the last word of its name."""
    kind = row.get("kind")
    if kind is None:
        return words_of_name(row.get("object") or "")[-1:] in _FASTENERS
    return bool(kind) and kind != "connector"


def _wrong(name: str, line: int | None, field: str, what: str, mend: str) -> Finding:
    return Finding(where=Where(file=name, line=line, field=field), what=what, mend=mend, rule="corrected operations")
