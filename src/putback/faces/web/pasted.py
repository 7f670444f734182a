"""One idea: a pasted list counts at once where it is one of ours; else what it was taken for is shown and asked."""

import re
from dataclasses import dataclass
from hashlib import sha256
from typing import Final

from putback.adapters.code_list_writer import listing_text
from putback.adapters.code_lists import read_code_list_text
from putback.core.codes.lists.listing import Listing
from putback.core.codes.lists.pasted import Byte, Corrections, Guess, LineKind, guess
from putback.faces.web.form import Form

LONGEST_LIST: Final = 48_000
"""A pasted list, [letters]: what a form may hold, with room for what else it says."""

MOST_ASKED: Final = 150
"""Lines that a page asks about; a form may not hold more fields."""

_OURS: Final = re.compile(r"^module,code\b", re.IGNORECASE | re.MULTILINE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pasted:
    """What came of a pasted list. `listing` None: it is to be looked at (`found`), or it is wrong (said in the form).

    `data` are the bytes of the list as it is kept.
    """

    text: str
    listing: Listing | None = None
    data: bytes = b""
    found: Guess | None = None


def pasted(form: Form, prefix: str, label: str, *, stage: str) -> Pasted:
    """Read a pasted list with what a person said of it, by fields that begin with `prefix`."""
    text = form.text(f"{prefix}text", label, needed=True, most=LONGEST_LIST)
    if not text:
        return Pasted(text="")
    if _OURS.search(text):
        return _ours(form, text, label)
    found = guess(text, _corrections(form, prefix))
    blocked = _in_the_way(found)
    listing = found.listing(name=label, stage=stage)
    if form.text(f"{prefix}looked") != "yes":
        return Pasted(text=text, found=found)
    if form.text(f"{prefix}seen") != sign_of(found):
        blocked = (*blocked, "is read otherwise by what you said of it; look again")
    form.wrong += [(label, words) for words in blocked]
    if blocked:
        return Pasted(text=text, found=found)
    return Pasted(text=text, listing=listing, data=listing_text(listing).encode(), found=found)


def sign_of(found: Guess) -> str:
    """The sign of a guess: the same as long as it says the same of every line."""
    says = [
        (line.number, line.kind, line.module, [(one.code, one.status) for one in line.listed]) for line in found.lines
    ]
    return sha256(repr(says).encode()).hexdigest()[:16]


def _ours(form: Form, text: str, label: str) -> Pasted:
    data = f"{text}\n".encode()
    read = read_code_list_text(data, label)
    form.wrong += [(label, str(one)) for one in read.findings] if read.listing is None else []
    return Pasted(text=text, listing=read.listing, data=data)


def _corrections(form: Form, prefix: str) -> Corrections:
    def numbered(name: str) -> dict[int, str]:
        start = f"{prefix}{name}-"
        named = ((field.removeprefix(start), field) for field in form.fields if field.startswith(start))
        return {int(number): form.text(field, most=60) for number, field in named if number.isdecimal()}

    no_headings = frozenset(numbered("no"))
    headings = {number: words for number, words in numbered("heading").items() if words and number not in no_headings}
    byte = form.one_of(f"{prefix}byte", "a byte behind a code", [str(one) for one in Byte])
    return Corrections(
        headings=headings,
        no_headings=no_headings,
        skip=frozenset(numbered("skip")),
        module=form.text(f"{prefix}module", most=60),
        byte=Byte(byte) if byte else Byte.UNKNOWN,
    )


def _in_the_way(found: Guess) -> tuple[str, ...]:
    """What must be said before it can count."""
    wrong = [f"line {one.number}: no module is named for {one.text!r:.60}; name it" for one in found.unnamed]
    wrong += [
        f"{one} is said not to have answered, and something else is said of it; correct one" for one in found.torn
    ]
    says = (LineKind.CODE, LineKind.NO_CODES, LineKind.NO_ANSWER)
    if not any(line.kind in says for line in found.lines):
        wrong.append("holds no code and no module’s answer; look whether it is the right text")
    return tuple(wrong)
