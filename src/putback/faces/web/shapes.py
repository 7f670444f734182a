"""One idea: what a call sends and what it gets is described once, for the published document of the API.

The kinds of events and their fields come from the table of the record; nothing of it is written down twice.
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from putback.core.record import EVENTS
from putback.core.record.shapes import Shape
from putback.faces.web.api import MOST_EVENTS

Schema = Mapping[str, Any]

_EXACT = 2**53 - 1
_TIME = r"^[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}(\.[0-9]{1,9})?(Z|[+-][0-9]{2}:[0-9]{2})$"

ID: Schema = {"type": "string", "pattern": r"^[A-Za-z0-9][A-Za-z0-9._:-]{0,99}$"}
_HASH: Schema = {"type": "string", "pattern": "^[0-9a-f]{64}$"}
_TEXT: Schema = {"type": "string"}
_SEQ: Schema = {"type": "integer", "minimum": 0, "maximum": _EXACT}
_SEEN: Schema = {"type": "boolean"}
_NUMBER: Schema = {
    "type": "number",
    "minimum": -(_EXACT + 1),
    "maximum": _EXACT + 1,
    "description": "whole numbers beyond 2^53 only as far as binary64 holds them; others make the whole unreadable",
}
_LISTS: Schema = {"type": "array", "items": {"$ref": "#/components/schemas/Json"}}
_THINGS: Schema = {"type": "object", "additionalProperties": {"$ref": "#/components/schemas/Json"}}
_JSON: Schema = {"anyOf": [{"type": ["null", "boolean", "string"]}, _NUMBER, _LISTS, _THINGS]}


def _thing(fields: Mapping[str, Schema], *, may: Mapping[str, Schema] | None = None, closed: bool = True) -> Schema:
    """An object that has all of some fields; `closed`: and nothing else, else with any JSON beside them."""
    made: dict[str, Any] = {"type": "object", "required": list(fields), "properties": {**fields, **(may or {})}}
    return {**made, "additionalProperties": False if closed else _ref("Json")}


def _ref(name: str) -> Schema:
    return {"$ref": f"#/components/schemas/{name}"}


def _fields(fields: Mapping[str, Shape]) -> dict[str, str]:
    return {name: shape.says for name, shape in fields.items()}


_EVENT: Schema = {
    **_thing(
        {
            "id": ID,
            "job": ID,
            "device": ID,
            "at": {
                "type": "string",
                "pattern": _TIME,
                "description": "the device's clock, ISO 8601 with its offset",
            },
            "kind": {"type": "string", "pattern": "^[a-z][a-z0-9 -]{0,59}$"},
            "body": {"type": "object", "additionalProperties": _ref("Json")},
        },
        may={"person": {"anyOf": [ID, {"type": "null"}]}},
        closed=False,
    ),
    "description": "A fact. `x-kinds` lists the kinds with the fields that their body must and may have; what does "
    "not fit is kept all the same and is spoken of as a finding.",
    "x-kinds": {
        name: {"says": kind.says, "must": _fields(kind.must), "may": _fields(kind.may)}
        for name, kind in EVENTS.items()
    },
}
_FINDING: Schema = _thing({"field": _TEXT, "what": _TEXT, "mend": _TEXT})
_KEPT_EVENT: Schema = _thing({"id": ID, "seq": _SEQ, "hash": _HASH, "again": _SEEN})
_REFUSED_EVENT: Schema = _thing(
    {"id": {"type": ["string", "null"]}, "refused": {"type": "array", "items": _ref("Finding"), "minItems": 1}}
)
_CONFLICT: Schema = _thing({"id": ID, "conflict": _ref("Finding")})

COMPONENTS: Mapping[str, Schema] = MappingProxyType(
    {
        "Event": _EVENT,
        "Json": _JSON,
        "Finding": _FINDING,
        "Place": {"type": "string", "pattern": "^[0-9]{1,15}$"},
        "Digest": _HASH,
        "Head": _thing({"seq": _SEQ, "hash": _HASH}),
        "Offer": _thing(
            {
                "events": {
                    "type": "array",
                    "maxItems": MOST_EVENTS,
                    "items": {"anyOf": [_ref("Event"), _ref("Json")]},
                    "description": "events; whatever is none is refused for itself alone, in its own answer",
                }
            },
            closed=False,
        ),
        "Taken": _thing(
            {
                "answers": {
                    "type": "array",
                    "items": {"oneOf": [_KEPT_EVENT, _REFUSED_EVENT, _CONFLICT]},
                    "description": "kept (again: it was there already); refused, with reasons; or in conflict: "
                    "the same id with other content, which is kept aside",
                },
                "head": _ref("Head"),
            }
        ),
        "Given": _thing(
            {
                "events": {
                    "type": "array",
                    "items": _thing({"seq": _SEQ, "received_at": _TEXT, "hash": _HASH, "event": {"type": "object"}}),
                },
                "head": _ref("Head"),
                "known": _SEEN,
                "at": _TEXT,
            }
        ),
        "Kept": _thing({"sha256": _HASH}),
        "Message": _thing(
            {
                **dict.fromkeys(("finding", "message", "before", "adds", "after", "currency", "why"), _TEXT),
                "minutes": {"type": "number"},
                "open": _SEEN,
                "answer": {"enum": ["yes", "no", None]},
            }
        ),
        "Person": _thing({"id": ID, "name": {"type": "string", "minLength": 1, "maxLength": 200}}),
        "People": _thing(
            {
                "people": {
                    "type": "array",
                    "items": _thing({"id": ID, "name": {"type": "string", "minLength": 1}}, may={"role": _TEXT}),
                }
            }
        ),
        "Refused": _thing({"failed": _thing({"what": _TEXT, "mend": _TEXT})}),
    }
)
"""Every schema that the document names."""
