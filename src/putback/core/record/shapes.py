"""One idea: what a field of an event may hold is a shape: words for people, and a test."""

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from putback.core.operations import Verb
from putback.core.quantity import TORQUE_UNITS_NM
from putback.core.record.event import is_id, is_time


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """What a field may hold, in words and as a test."""

    says: str
    fits: Callable[[Any], bool]


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _is_whole(value: Any) -> bool:
    """JSON has one kind of number: 4.0 and 4 are the same fact. Beyond 2^53 - 1 it is not sure which one is meant."""
    return _is_number(value) and abs(value) <= 2**53 - 1 and value == int(value)


def _is_text(value: Any) -> bool:
    return isinstance(value, str) and value != ""


def _is_torque(value: Any) -> bool:
    """`{value, unit, angle_deg}` as a plan writes it; the angle is a number, a list of them, null or left out."""
    if not isinstance(value, Mapping) or not set(value) <= {"value", "unit", "angle_deg"}:
        return False
    angle = value.get("angle_deg")
    angles = angle if isinstance(angle, list | tuple) else [] if angle is None else [angle]
    right = _is_number(value.get("value")) and value["value"] > 0 and value.get("unit") in TORQUE_UNITS_NM
    return right and all(_is_number(one) and one > 0 for one in angles)


def _is_reading(value: Any) -> bool:
    if not isinstance(value, Mapping) or not set(value) <= {"value", "unit", "points"}:
        return False
    return _is_number(value.get("value")) and _is_text(value.get("unit")) and _is_text(value.get("points", "-"))


def _is_priced(value: Any) -> bool:
    """A part with its price, as a finding names it."""
    known = isinstance(value, Mapping) and set(value) == {"name", "amount"}
    return known and _is_text(value["name"]) and MONEY.fits(value["amount"])


def _list_of(fits: Callable[[Any], bool]) -> Callable[[Any], bool]:
    return lambda value: isinstance(value, list | tuple) and all(fits(one) for one in value)


def _is_date(value: Any) -> bool:
    """A day of the calendar, written as ISO 8601 has it."""
    if not _is_text(value) or not _DATE.fullmatch(value):
        return False
    try:
        date.fromisoformat(value)
    except ValueError:
        return False
    return True


def one_of(*words: str) -> Shape:
    """One of some words."""
    return Shape(says="one of " + ", ".join(words), fits=lambda value: value in words)


_AMOUNT = re.compile(r"-?(0|[1-9][0-9]{0,11})(\.[0-9]{1,4})?", re.ASCII)
_SHA256 = re.compile(r"[0-9a-f]{64}")
_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", re.ASCII)
_MEDIA = re.compile(r"[a-z]+/[a-z0-9.+-]+")

TEXT = Shape(says="a text", fits=_is_text)
ID = Shape(says="an id", fits=is_id)
IDS = Shape(says="a list of ids", fits=_list_of(is_id))
TEXTS = Shape(says="a list of texts", fits=_list_of(_is_text))
COUNT = Shape(says="a whole number from 0", fits=lambda value: _is_whole(value) and value >= 0)
COUNTS = Shape(says="a list of whole numbers from 0", fits=_list_of(COUNT.fits))
AMOUNT_OF = Shape(says="a number from 0", fits=lambda value: _is_number(value) and value >= 0)
NUMBER = Shape(says="a number", fits=lambda value: _is_number(value) and math.isfinite(value))
DATE = Shape(says="a date, such as 2026-03-02", fits=_is_date)
MONEY = Shape(
    says='an amount as text, such as "1572.40"', fits=lambda value: _is_text(value) and bool(_AMOUNT.fullmatch(value))
)
TIME = Shape(says="a time with its offset", fits=is_time)
SHA256 = Shape(
    says="a SHA-256 as 64 hex digits", fits=lambda value: _is_text(value) and bool(_SHA256.fullmatch(value))
)
MEDIA = Shape(
    says="a media type, such as image/jpeg", fits=lambda value: _is_text(value) and bool(_MEDIA.fullmatch(value))
)
YES_OR_NO = one_of("yes", "no")
PRICED = Shape(says='a list of parts, such as [{"name": "sleeve", "amount": "38.00"}]', fits=_list_of(_is_priced))
_VERBS = frozenset(Verb)
VERB = Shape(says="a verb of the list of operations", fits=lambda value: isinstance(value, str) and value in _VERBS)
TORQUE = Shape(says='a torque, such as {"value": 24, "unit": "N·m"}', fits=_is_torque)
READING = Shape(says='a reading, such as {"value": 0.4, "unit": "V", "points": "+ to -"}', fits=_is_reading)


@dataclass(frozen=True, slots=True, kw_only=True)
class EventKind:
    """One kind of event: what it says, the fields it must have and those it may have."""

    says: str
    must: Mapping[str, Shape] = field(default_factory=dict)
    may: Mapping[str, Shape] = field(default_factory=dict)
