"""One idea: what was heard is kept as JSON when a narration is taken, and a review begins from it for ever after.

A later program may hear otherwise; the lines that a person has looked at stay those that they saw.
"""

import json
from dataclasses import fields
from types import MappingProxyType
from typing import Any, Final

from putback.core.operations import Verb
from putback.narrate.lines.aliases import Aliases
from putback.narrate.lines.said import Said
from putback.narrate.review.state import Review, begun
from putback.narrate.text.spoken import Cue, Spoken

_FORMAT: Final = "draft/1"


def draft_bytes(review: Review) -> bytes:
    """A review that nobody has looked at, as JSON: the text with its times, the lines, names, high voltage."""
    value = {
        "putback": _FORMAT,
        "text": review.spoken.text,
        "cues": [[cue.start, cue.end, cue.begins_s, cue.ends_s] for cue in review.spoken.cues],
        "breaks": sorted(review.spoken.breaks),
        "aliases": dict(review.aliases.names),
        "high_voltage": review.high_voltage,
        "lines": [_written(one.said) for one in review.lines],
    }
    return json.dumps(value, ensure_ascii=False, separators=(",", ":")).encode()


def read_draft(data: bytes) -> Review:
    """The review that `draft_bytes` wrote.

    Raises:
        ValueError, KeyError, TypeError: it is not what this program wrote; the shelf names files by their digest.
    """
    value = json.loads(data)
    if value["putback"] != _FORMAT:
        raise ValueError(f"{value['putback']!r:.40} is not {_FORMAT}")
    cues = tuple(Cue(start=start, end=end, begins_s=begins, ends_s=ends) for start, end, begins, ends in value["cues"])
    return begun(
        Spoken(text=value["text"], cues=cues, breaks=frozenset(value["breaks"])),
        [_read(one) for one in value["lines"]],
        aliases=Aliases(MappingProxyType(value["aliases"])),
        high_voltage=value["high_voltage"],
    )


def _written(said: Said) -> dict[str, Any]:
    """A line with what was heard of it; what was not is left out."""
    values = {one.name: getattr(said, one.name) for one in fields(said)}
    return {name: value for name, value in values.items() if value not in (None, ()) and value is not False}


def _read(value: dict[str, Any]) -> Said:
    known = {one.name for one in fields(Said)}
    said = {name: one for name, one in value.items() if name in known}
    return Said(**{**said, "verb": Verb(said["verb"]), "object": said.get("object", ""), **_lists(said)})


def _lists(said: dict[str, Any]) -> dict[str, Any]:
    return {name: tuple(one) for name, one in said.items() if isinstance(one, list)}
