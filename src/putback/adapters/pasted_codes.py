"""One idea: bytes of any origin become a text to look for codes in; how they were read is said, nothing is dropped.

UTF-8 and UTF-16 are known by their marks or by their form; anything else is read as Western letters, in which codes
look the same.
"""

import codecs
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from putback.adapters.car_file.text import LARGEST_BYTES
from putback.core.finding import Finding, Kind, Where

_MARKS: Final = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
_HIDDEN: Final = re.compile("[\x00-\x08\x0e-\x1f\x7f\u200b-\u200f\u202a-\u202e\u2060-\u2064\ufeff\ufffe\uffff]")
_SPACES: Final = re.compile("[\x0b\x0c\x85\xa0\u2000-\u200a\u2028\u2029\u202f\u3000]")


@dataclass(frozen=True, slots=True, kw_only=True)
class PastedText:
    """A text, and what is to be known of how it was read."""

    text: str
    notes: tuple[Finding, ...] = ()


def read_pasted(path: Path) -> PastedText | Finding:
    """The text of a file; a finding where there is none to be had."""
    try:
        if path.exists() and not path.is_file():
            return _finding(str(path), "it is not a file", "name a text file, or - for what is typed or pasted")
        with path.open("rb") as file:
            return text_of(file.read(LARGEST_BYTES + 1), str(path))
    except (OSError, ValueError) as failure:
        why = getattr(failure, "strerror", None) or str(failure)
        return _finding(str(path), f"it cannot be opened ({why})", "check the name and the folder")


def text_of(data: bytes, name: str) -> PastedText | Finding:
    """The text of some bytes; `name` is what they are called in findings."""
    if len(data) > LARGEST_BYTES:
        mend = "cut out the part with the codes; a log of frames goes by its suffix, such as .log"
        return _finding(name, f"it has more than {LARGEST_BYTES:,} bytes, too many for a list of codes", mend)
    text, said = _decoded(data)
    hidden = len(_HIDDEN.findall(text))
    if hidden:
        said.append(f"{hidden} characters that cannot be seen were taken for spaces")
    text = _SPACES.sub(" ", _HIDDEN.sub(" ", text))
    if not text.strip():
        return _finding(
            name, "there is no text in it", "paste or name a list with codes, or one that says there are none"
        )
    mend = "look whether the codes and names below are right"
    notes = tuple(_finding(name, one, mend, Kind.NOTE) for one in said)
    return PastedText(text=text, notes=notes)


def _decoded(data: bytes) -> tuple[str, list[str]]:
    """The text, and what is to be said of it."""
    for mark, encoding in _MARKS:
        if data.startswith(mark):
            text = data.decode(encoding, "replace")
            return text, [f"parts of it are no {encoding.upper()}"] if "\ufffd" in text else []
    wide = _wide(data)
    if wide:
        return data.decode(wide, "replace"), [f"it is read as {wide.upper()}, by the zeros in it"]
    try:
        return data.decode("utf-8"), []
    except UnicodeDecodeError as failure:
        return data.decode("cp1252", "replace"), [f"byte {failure.start} is not UTF-8: it is read as Western letters"]


def _wide(data: bytes) -> str:
    """UTF-16 without its mark, where nearly every second byte is zero; empty where it is none."""
    half = len(data[:2000]) // 2
    if half < 4:
        return ""
    first, second = data[0:2000:2].count(0), data[1:2000:2].count(0)
    if second > half * 0.8 and first < half * 0.2:
        return "utf-16-le"
    return "utf-16-be" if first > half * 0.8 and second < half * 0.2 else ""


def _finding(name: str, what: str, mend: str, kind: Kind = Kind.FAULT) -> Finding:
    return Finding(where=Where(file=name), what=what, mend=mend, rule="pasted-codes", kind=kind)
