"""One idea: an event is a fact, named where it was made, and its bytes never change.

The device that saw the fact gives it its id and its clock's time; nothing here reads a clock or makes an id. What a
newer program wrote and this one does not know is kept as it came, in `body` or in `more`, and stays in the bytes.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from types import MappingProxyType
from typing import Any, cast

from putback.core.finding import Finding, Where
from putback.core.record.canonical import Json, NotCanonical, canonical_bytes, frozen, read_json

LARGEST_BYTES = 256 * 1024
"""An event's bytes. Photos are files of their own; an event names them by digest."""

_ID = re.compile(r"[A-Za-z0-9][A-Za-z0-9._:-]{0,99}")
_KIND = re.compile(r"[a-z][a-z0-9 -]{0,59}")
_TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d{1,9})?(Z|[+-]\d\d:\d\d)", re.ASCII)

_A_TIME = "write date, time and offset, such as 2026-03-02T08:15:00+01:00"
_AN_ID = "use 1 to 100 letters, digits and . _ : -, beginning with a letter or digit"

FIELDS = ("id", "job", "device", "at", "person", "kind", "body")


class NotAnEvent(ValueError):
    """Fields that make no event. `findings` says each."""

    def __init__(self, findings: tuple[Finding, ...]) -> None:
        super().__init__("; ".join(map(str, findings)))
        self.findings = findings


def is_id(value: object) -> bool:
    """Whether a value may name an event, a job, a device, a person."""
    return isinstance(value, str) and _ID.fullmatch(value) is not None


def is_time(value: object) -> bool:
    """Whether a value is a time of day with its offset (ISO 8601, extended form).

    >>> is_time("2026-03-02T08:15:00+01:00"), is_time("2026-03-02T08:15:00"), is_time("2026-02-30T08:15:00Z")
    (True, False, False)
    """
    if not isinstance(value, str) or not _TIME.fullmatch(value):
        return False
    try:
        datetime.fromisoformat(value)
    except ValueError:
        return False
    return True


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """One fact of a job.

    Shapes: `id`, `job`, `device` and `person` are ids (`person`: whose name stands outside the record; None for what
    no person did); `at` is the device's clock, ISO 8601 with offset, kept as written; `kind` is past tense, for ever;
    `body` and `more` hold JSON values (`more`: fields beside the known ones). `content` is its one spelling.

    Raises:
        NotAnEvent: a field is not of its shape, or the whole is larger than `LARGEST_BYTES`.
    """

    id: str
    job: str
    device: str
    at: str
    person: str | None
    kind: str
    body: Mapping[str, Json]
    more: Mapping[str, Json] = field(default_factory=lambda: MappingProxyType({}))
    content: bytes = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Refuse what is no event; freeze the rest and spell it once."""
        raw = {**self.more, **{name: getattr(self, name) for name in FIELDS}}
        found = [
            *_faults(raw),
            *(_fault(name, "stands beside itself", "leave it out") for name in self.more if name in FIELDS),
        ]
        content = b""
        try:
            content = canonical_bytes(raw)
        except NotCanonical as wrong:
            found.append(_fault(wrong.path.lstrip("."), wrong.what, "write plain JSON values"))
        if len(content) > LARGEST_BYTES:
            found.append(_fault("", f"is larger than {LARGEST_BYTES} bytes", "keep pictures and files outside"))
        if found:
            raise NotAnEvent(tuple(found))
        object.__setattr__(self, "body", frozen(self.body))
        object.__setattr__(self, "more", frozen(self.more))
        object.__setattr__(self, "content", content)


def _faults(raw: Mapping[str, Any]) -> list[Finding]:
    """What is wrong with the fields that every event has."""
    found = [
        _fault(name, f"{raw.get(name)!r:.60} is no id", _AN_ID)
        for name in ("id", "job", "device", "person")
        if not is_id(raw.get(name)) and not (name == "person" and raw.get(name) is None)
    ]
    if not is_time(raw.get("at")):
        found.append(_fault("at", f"{raw.get('at')!r:.60} is no time with an offset", _A_TIME))
    kind = raw.get("kind")
    if not isinstance(kind, str) or not _KIND.fullmatch(kind):
        found.append(_fault("kind", f"{kind!r:.60} names no kind", "use lower-case words, such as operation done"))
    if not isinstance(raw.get("body"), Mapping):
        found.append(_fault("body", "is no mapping", "write {} where there is nothing to say"))
    return found


def _fault(name: str, what: str, mend: str) -> Finding:
    return Finding(where=Where(file="event", field=name), what=what, mend=mend, rule="event")


def read_event(content: bytes | str | Mapping[str, Json]) -> Event:
    """Read one event from JSON, or from a mapping that JSON was read into. Fields of a newer program are kept.

    Raises:
        NotAnEvent: no JSON, no mapping, or fields that make no event.

    >>> read_event('{"id":"e1","job":"j1","device":"d1","at":"2026-03-02T08:15:00Z","kind":"noted","body":{}}').kind
    'noted'
    """
    try:
        raw = content if isinstance(content, Mapping) else read_json(content)
    except NotCanonical as wrong:
        raise NotAnEvent((_fault(wrong.path, wrong.what, "send one JSON object"),)) from None
    if not isinstance(raw, Mapping):
        raise NotAnEvent((_fault("", "is no mapping", "send one JSON object"),))
    known = cast("dict[str, Any]", {name: raw.get(name) for name in FIELDS})
    if found := _faults(known):
        raise NotAnEvent(tuple(found))
    return Event(**known, more={name: value for name, value in raw.items() if name not in FIELDS})
