"""One idea: a form is read field by field, and all that is wrong with it is said at once, beside what was typed."""

import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from urllib.parse import parse_qs

MOST_FIELDS = 600
LONGEST = 2000
"""A text in a form, [letters]."""

_NUMBER = re.compile(r"[0-9]{1,9}([.,][0-9]{1,3})?", re.ASCII)
_MONEY = re.compile(r"[0-9]{1,9}([.,][0-9]{1,2})?", re.ASCII)
_LOCAL = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}(:[0-9]{2})?", re.ASCII)
_UNSEEN = re.compile(r"[\x00-\x08\x0b-\x1f\x7f]")


@dataclass(slots=True)
class Form:
    """The fields of a form. `wrong` gathers (field, words) while they are read."""

    fields: Mapping[str, Sequence[str]]
    wrong: list[tuple[str, str]] = field(default_factory=list)

    def said(self) -> Mapping[str, str]:
        """What was typed, to be shown again: the first value of each field."""
        return {name: values[0] for name, values in self.fields.items()}

    def many(self, name: str) -> tuple[str, ...]:
        """Every value of a field, once."""
        return tuple(dict.fromkeys(text for one in self.fields.get(name, ()) if (text := one.strip())))

    def text(self, name: str, label: str = "", *, needed: bool = False, most: int = LONGEST) -> str:
        """A text; "" where it was left empty."""
        values = self.fields.get(name, ())
        text = _UNSEEN.sub(" ", values[0].replace("\r\n", "\n")).strip() if values else ""
        if needed and not text:
            self.wrong.append((label or name, "is empty; say it"))
        if len(text) > most:
            self.wrong.append((label or name, f"is longer than {most} letters; write less"))
            return text[:most]
        return text

    def one_of(self, name: str, label: str, words: Collection[str], *, needed: bool = False) -> str:
        """One of some words; "" where none was chosen."""
        text = self.text(name, label, needed=needed)
        if text and text not in words:
            self.wrong.append((label, f"{text!r:.40} is not in the list; choose one of it"))
            return ""
        return text

    def number(self, name: str, label: str) -> float | None:
        """A number from 0, with a point or a comma; None where it was left empty."""
        text = self.text(name, label).replace(" ", "").replace("\u202f", "").replace("\u00a0", "")
        if text and not _NUMBER.fullmatch(text):
            self.wrong.append((label, f"{text!r:.40} is not a number; write it in digits, such as 84210"))
            return None
        return float(text.replace(",", ".")) if text else None

    def count(self, name: str, label: str) -> int | None:
        """A whole number from 0; None where it was left empty."""
        value = self.number(name, label)
        if value is not None and value != int(value):
            self.wrong.append((label, f"{value:g} is not a whole number; count them"))
            return None
        return None if value is None else int(value)

    def money(self, name: str, label: str, *, needed: bool = False) -> str:
        """An amount as events keep it, with two decimals; "" where it was left empty."""
        text = self.text(name, label, needed=needed).replace(" ", "").replace("\u202f", "").replace("\u00a0", "")
        if text and not _MONEY.fullmatch(text):
            self.wrong.append((label, f"{text!r:.40} is not an amount; write it such as 1572.40"))
            return ""
        return f"{Decimal(text.replace(',', '.')):.2f}" if text else ""

    def time(self, name: str, label: str, *, now: datetime) -> str:
        """A time of day with the offset of this machine; now, where it was left empty."""
        text = self.text(name, label)
        if not text:
            return now.isoformat(timespec="seconds")
        try:
            local = datetime.fromisoformat(text) if _LOCAL.fullmatch(text) else None
        except ValueError:
            local = None
        if local is None:
            self.wrong.append((label, f"{text!r:.40} is not a time; write it such as 2026-03-02T08:15"))
            return now.isoformat(timespec="seconds")
        return local.replace(tzinfo=now.tzinfo).isoformat(timespec="seconds")


def read_form(body: bytes) -> Form:
    """The fields of an urlencoded body; what cannot be read is a form with that fault alone."""
    try:
        fields = parse_qs(body.decode("utf-8"), keep_blank_values=True, max_num_fields=MOST_FIELDS)
    except (UnicodeDecodeError, ValueError):
        return Form(fields={}, wrong=[("form", "cannot be read; fill it in again")])
    return Form(fields=fields)
