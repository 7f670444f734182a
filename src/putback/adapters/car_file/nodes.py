"""One idea: a YAML text becomes a small tree in which every key and every value knows its line.

The tree is built from the event stream of PyYAML (its C parser where there is one), unquoted words are resolved
by `scalars`. What a car file never needs is refused where it is seen: anchors and aliases (with which a few lines
unfold into gigabytes), tags, second documents, nesting without end.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any, Final

import yaml

from putback.adapters.car_file.scalars import resolve
from putback.adapters.car_file.syntax import syntax_findings
from putback.core.finding import Finding, Where

DEEPEST: Final = 40

_LOADER: Final[Any] = getattr(yaml, "CLoader", yaml.Loader)
_SCALAR, _SEQUENCE, _MAPPING = yaml.ScalarEvent, yaml.SequenceStartEvent, yaml.MappingStartEvent


@dataclass(frozen=True, slots=True, kw_only=True)
class Scalar:
    """A single value: `value` as resolved, `text` as written (without quotes)."""

    line: int
    value: str | int | float | bool | None
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Sequence:
    """A list of values."""

    line: int
    entries: tuple["Node", ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One key of a mapping with its value."""

    key: str
    line: int
    value: "Node"


@dataclass(frozen=True, slots=True, kw_only=True)
class Mapping:
    """Keys and values in the file's order, repeated keys included. `flow` is true for {…}."""

    line: int
    flow: bool
    entries: tuple[Entry, ...]
    odd_keys: tuple[tuple[int, str], ...] = field(default=())

    def get(self, key: str) -> "Node | None":
        """The first value under this key."""
        return next((entry.value for entry in self.entries if entry.key == key), None)


Node = Scalar | Sequence | Mapping


@dataclass(frozen=True, slots=True, kw_only=True)
class Tree:
    """What came of a text. `root` None: it could not be read as YAML, and the findings say why."""

    root: Node | None
    findings: tuple[Finding, ...]


class _Stopped(Exception):
    """Reading cannot go on past this finding."""

    def __init__(self, finding: Finding) -> None:
        super().__init__(str(finding))
        self.finding = finding


def parse(text: str, name: str) -> Tree:
    """Read a YAML 1.2 text into a tree.

    Returns:
        The tree; its root is None where the text is no YAML, holds nothing, or holds what is refused outright.
    """
    builder = _Builder(name, yaml.parse(text, Loader=_LOADER))
    try:
        root = builder.document()
    except _Stopped as stopped:
        return Tree(root=None, findings=(*builder.findings, stopped.finding))
    except yaml.MarkedYAMLError as refusal:
        return Tree(root=None, findings=syntax_findings(text, name, refusal))
    return Tree(root=root, findings=tuple(builder.findings))


class _Builder:
    """Takes events one by one and makes nodes of them."""

    def __init__(self, name: str, events: Iterator[Any]) -> None:
        self.name = name
        self.events = events
        self.findings: list[Finding] = []

    def document(self) -> Node:
        """The only document of the stream."""
        event = self._next_but(yaml.StreamStartEvent)
        if type(event) is yaml.StreamEndEvent:
            raise self._stopped(1, "the file holds nothing but comments", "write keys, or start from `putback new`")
        root = self._node(self._next_but(), 0)
        if isinstance(root, Scalar) and root.value is None:
            raise self._stopped(root.line, "the file holds nothing", "write keys, or start from `putback new`")
        after = self._next_but(yaml.DocumentEndEvent)
        if type(after) is yaml.DocumentStartEvent:
            raise self._stopped(
                _line(after), "a second document starts here", "keep one car a file; delete the line ---", "document"
            )
        return root

    def _next_but(self, skipped: type | None = None) -> Any:
        event = next(self.events)
        return next(self.events) if type(event) is skipped else event

    def _node(self, event: Any, depth: int) -> Node:
        kind = type(event)
        if kind is yaml.AliasEvent or event.anchor:
            raise self._stopped(
                _line(event),
                f"an anchor or alias ({'*' if kind is yaml.AliasEvent else '&'}{event.anchor})",
                "write the values out; for text that starts with & or * put it in quotes",
                "anchor",
            )
        if event.tag is not None:
            self._say(
                _line(event),
                f"the tag {event.tag.replace('tag:yaml.org,2002:', '!!')}",
                "delete it; a car file needs no tags",
                "tag",
            )
        if kind is _SCALAR:
            value = resolve(event.value) if not event.style and event.implicit[0] else event.value
            return Scalar(line=_line(event), value=value, text=event.value)
        if depth >= DEEPEST:
            raise self._stopped(
                _line(event), f"more than {DEEPEST} lists or groups inside one another", "check the brackets", "depth"
            )
        if kind is _SEQUENCE:
            return Sequence(line=_line(event), entries=tuple(self._entries(depth + 1)))
        return self._mapping(event, depth + 1)

    def _entries(self, depth: int) -> Iterator[Node]:
        event = next(self.events)
        while type(event) is not yaml.SequenceEndEvent:
            yield self._node(event, depth)
            event = next(self.events)

    def _mapping(self, start: Any, depth: int) -> Mapping:
        entries: list[Entry] = []
        odd: list[tuple[int, str]] = []
        event = next(self.events)
        while type(event) is not yaml.MappingEndEvent:
            key = self._node(event, depth)
            value = self._node(next(self.events), depth)
            if isinstance(key, Scalar) and isinstance(key.value, str):
                entries.append(Entry(key=key.value, line=key.line, value=value))
            else:
                odd.append((key.line, key.text if isinstance(key, Scalar) else ""))
            event = next(self.events)
        return Mapping(line=_line(start), flow=bool(start.flow_style), entries=tuple(entries), odd_keys=tuple(odd))

    def _say(self, line: int, what: str, mend: str, rule: str) -> None:
        self.findings.append(Finding(where=Where(file=self.name, line=line), what=what, mend=mend, rule=rule))

    def _stopped(self, line: int, what: str, mend: str, rule: str = "empty") -> _Stopped:
        return _Stopped(Finding(where=Where(file=self.name, line=line), what=what, mend=mend, rule=rule))


def _line(event: Any) -> int:
    return int(event.start_mark.line) + 1
