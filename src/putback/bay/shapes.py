"""One idea: what a field of an event may hold is written out for the page, as plain data.

A text is a pattern that must match the whole; a list holds the words that are allowed; `of` is a list of a shape;
`any` is one of several; `must` and `may` are the fields of an object; `least` and `above` bound a number.
"""

from typing import Any

from putback.core.operations import Verb
from putback.core.quantity import TORQUE_UNITS_NM
from putback.core.record import shapes
from putback.core.record.shapes import Shape

_DAY = (
    r"(?!0000)(?:\d{4}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)"
    r"|02-(?:0[1-9]|1\d|2[0-8]))|(?:\d\d(?:0[48]|[2468][048]|[13579][26])|(?:[02468][048]|[13579][26])00)-02-29)"
)
_TEXT = r"[\s\S]+"
_ID = r"[A-Za-z0-9][A-Za-z0-9._:-]{0,99}"
_TIME = _DAY + r"T(?:[01]\d|2[0-3])(?::[0-5]\d){2}(?:\.\d{1,9})?(?:Z|[+-](?:[01]\d|2[0-3]):[0-5]\d)"
_MONEY = r"-?(?:0|[1-9][0-9]{0,11})(?:\.[0-9]{1,4})?"
_NUMBER: dict[str, Any] = {"least": -1e308}
_ABOVE_0: dict[str, Any] = {"above": 0}

_WRITTEN: tuple[tuple[Shape, Any], ...] = (
    (shapes.TEXT, _TEXT),
    (shapes.ID, _ID),
    (shapes.IDS, {"of": _ID}),
    (shapes.TEXTS, {"of": _TEXT}),
    (shapes.COUNT, {"least": 0, "whole": True}),
    (shapes.AMOUNT_OF, {"least": 0}),
    (shapes.NUMBER, _NUMBER),
    (shapes.DATE, _DAY),
    (shapes.MONEY, _MONEY),
    (shapes.TIME, _TIME),
    (shapes.SHA256, "[0-9a-f]{64}"),
    (shapes.MEDIA, "[a-z]+/[a-z0-9.+-]+"),
    (shapes.PRICED, {"of": {"must": {"name": _TEXT, "amount": _MONEY}, "may": {}}}),
    (shapes.VERB, [str(verb) for verb in Verb]),
    (
        shapes.TORQUE,
        {
            "must": {"value": _ABOVE_0, "unit": list(TORQUE_UNITS_NM)},
            "may": {"angle_deg": {"any": [None, _ABOVE_0, {"of": _ABOVE_0}]}},
        },
    ),
    (shapes.READING, {"must": {"value": _NUMBER, "unit": _TEXT}, "may": {"points": _TEXT}}),
)
_ONE_OF = "one of "


def written(shape: Shape) -> Any:
    """A shape as the page reads it.

    Raises:
        LookupError: a shape that is not written out here yet.
    """
    for known, data in _WRITTEN:
        if known is shape:
            return data
    if not shape.says.startswith(_ONE_OF):
        raise LookupError(f"no shape for the page: {shape.says}")
    return shape.says.removeprefix(_ONE_OF).split(", ")
