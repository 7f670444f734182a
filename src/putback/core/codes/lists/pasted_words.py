"""One idea: in a text of any layout a code is known by the standard's form, and little else by a few words.

What merely looks like a code (a part number, a vehicle number) is not taken for one. The words are common practice in
five languages, no source.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from putback.core.codes.meaning.code import Code, read_code
from putback.core.codes.meaning.status import Bit
from putback.core.codes.meaning.wrong import Wrong

ALL_BITS: Final = 0xFF
_FAILING, _PENDING, _CONFIRMED = (1 << bit for bit in (Bit.FAILING, Bit.PENDING, Bit.CONFIRMED))

STORED: Final = (_CONFIRMED, _CONFIRMED)
"""Bits and mask of a code of which nothing is said: it is stored, and no more is known."""

_STATUS_WORDS: Final[Mapping[str, tuple[int, int]]] = MappingProxyType(
    dict.fromkeys(["confirmed", "stored", "saved", "memory", "permanent", "intermittent", "sporadic"], STORED)
    | dict.fromkeys(["gespeichert", "sporadisch", "permanent", "mémorisé", "memorise", "enregistré"], STORED)
    | dict.fromkeys(["almacenado", "memorizado", "guardado", "memorizzato", "intermitente"], STORED)
    | dict.fromkeys(
        ["active", "current", "present", "aktiv", "aktuell", "vorhanden", "actif", "présent"], (_FAILING, _FAILING)
    )
    | dict.fromkeys(["activo", "presente", "actual", "attivo"], (_FAILING, _FAILING))
    | dict.fromkeys(["pending", "maturing", "anstehend", "pendiente"], (_PENDING, _PENDING))
    | dict.fromkeys(
        ["history", "historic", "historical", "past", "passive", "inactive"], (_CONFIRMED, _CONFIRMED | _FAILING)
    )
    | dict.fromkeys(["passiv", "inaktiv", "historique", "histórico", "inactivo"], (_CONFIRMED, _CONFIRMED | _FAILING))
)
"""What a word says of the status: bits, and the bits that it speaks of."""

_BESIDE_STATUS: Final = frozenset(
    ["code", "codes", "dtc", "dtcs", "fault", "faults", "status", "state", "and", "not", "fehler", "défaut"]
)
PERMANENT: Final = "permanent"

_NO: Final = r"(?:no|0|zero|keine?|aucune?|sin|ningún|nessun[oa]?|pas de)"
_CODES: Final = (
    r"(?:stored |pending |trouble |fault |diagnostic )*"
    r"(?:codes?|faults?|dtcs?|errors?|fehler(?:codes?)?|défauts?|averías|fallos|códigos|errori|errore|guasti)"
)
NO_CODES: Final = re.compile(rf"{_NO} {_CODES}(?: (?:found|stored|present|gespeichert|gefunden|détecté|trouvé))?|none")
NO_ANSWER: Final = re.compile(
    r"no (?:response|answer|reply|communication|connection)|not? respond(?:ing)?|does not (?:respond|answer)|time ?out"
    r"|silent|unreachable|keine (?:antwort|kommunikation|verbindung)|pas de (?:réponse|communication)"
    r"|sin (?:respuesta|comunicación)|nessuna (?:risposta|comunicazione)"
)
COUNT: Final = re.compile(rf"[\s(\[:–-]*(\d{{1,3}}) {_CODES}[\s)\]:]*$", re.IGNORECASE)

_CODE: Final = re.compile(
    r"(?<![A-Za-z0-9_])([PCBU][0-3][0-9A-F]{3})(?:\s?[-:/.–]\s?([0-9A-F]{2})(?![0-9A-Za-z_]))?(?![0-9A-Za-z_])",
    re.IGNORECASE,
)
_SPACED: Final = re.compile(r"^([PCBU]) ?([0-3][0-9A-F]) ?([0-9A-F]{2})(?:[-:/]([0-9A-F]{2}))?(?![0-9A-Za-z_])")
_GLUED: Final = re.compile(r"(?<![A-Za-z0-9_])((?:[PCBU][0-3][0-9A-F]{3}){2,})(?![0-9A-Za-z_])")
_LOOKS: Final = re.compile(r"(?<![A-Za-z0-9])[PCBUpcbu][0-3Oo][0-9A-Fa-fOo]{3}")
_NUMBERING: Final = re.compile(r"^\s*\d{1,3}[.):-]\s*$")
_BYTE: Final = re.compile(r"(?:status|state)?\s*[:=]?\s*(?:0x|\$)?([0-9A-F]{2})h?", re.IGNORECASE)
_MARKED_BYTE: Final = re.compile(r"(?:status|state|0x|\$)", re.IGNORECASE)
_FIELDS: Final = re.compile(r"\t|\s{2,}|[|;,()\[\]{}]|\s[-–—]\s|:\s")


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundCode:
    """A code in a line: where it stands, and what is odd about how it is written; empty where nothing is."""

    code: Code
    start: int
    end: int
    odd: str = ""


def find_codes(line: str) -> Iterator[FoundCode]:
    """The codes of a line.

    >>> [str(one.code) for one in find_codes("- p0123-1f and U1C33:87, part P0123-4567, 9ZZXA00A3T0000001")]
    ['P0123-1F', 'U1C33-87']
    """
    bare = line.lstrip(" \t-*•·>")
    spaced = _SPACED.match(bare)
    if spaced is not None and " " in spaced[0]:
        spelt = "".join(spaced.group(1, 2, 3)) + (f"-{spaced[4]}" if spaced[4] else "")
        start = len(line) - len(bare)
        yield from _found(spelt, start, start + spaced.end(), "it is written with spaces")
        return
    for glued in _GLUED.finditer(line):
        for n in range(0, len(glued[1]), 5):
            odd = "codes are written without a gap"
            yield from _found(glued[1][n : n + 5], glued.start() + n, glued.start() + n + 5, odd)
    for found in _CODE.finditer(line):
        if not _part_of_more(line, found):
            kind = f"-{found[2]}" if found[2] else ""
            yield from _found(found[1] + kind, found.start(), found.end(), "")


def _found(spelt: str, start: int, end: int, odd: str) -> Iterator[FoundCode]:
    code = read_code(spelt)
    if not isinstance(code, Wrong) and code.number:
        yield FoundCode(code=code, start=start, end=end, odd=odd)


def _part_of_more(line: str, found: "re.Match[str]") -> bool:
    """Whether a code is only a part of something longer, such as a part number."""
    before, after = line[: found.start()], line[found.end() : found.end() + 12]
    if before[-1:] in tuple("-./_#") and before[-2:-1].isalnum() and not _NUMBERING.match(before):
        return True
    joined = re.match(r"[-./_–]([0-9A-Za-z]+)", after)
    return joined is not None and (len(joined[1]) < 3 or not joined[1].isalpha())


def looks_like_code(line: str) -> bool:
    """Whether something in a line looks like a code and is none, or is written so that it cannot be told.

    >>> looks_like_code("P012317"), looks_like_code("PO123"), looks_like_code("engine")
    (True, True, False)
    """
    return _LOOKS.search(line) is not None


def fields(text: str) -> list[str]:
    """The parts of a text that stand apart: cells, brackets, words after a stroke."""
    return [part for one in _FIELDS.split(text) if (part := one.strip(" \t.-–—:=*"))]


def status_of(part: str) -> tuple[int, int] | None:
    """Bits and mask that a part says, if it says nothing else. A bare byte says nothing: it may be a failure type.

    >>> status_of("status 2F"), status_of("pending"), status_of("current too high"), status_of("2F")
    ((47, 255), (4, 4), None, None)
    """
    byte = _BYTE.fullmatch(part)
    if byte is not None:
        return (int(byte[1], 16), ALL_BITS) if _MARKED_BYTE.match(part) else None
    words = re.findall(r"\w+", part.lower())
    said = [_STATUS_WORDS[word] for word in words if word in _STATUS_WORDS]
    if not said or "not" in words or any(word not in _STATUS_WORDS and word not in _BESIDE_STATUS for word in words):
        return None
    mask = 0
    bits = 0
    for one, of in said:
        bits, mask = bits | one, mask | of
    return bits, mask


def byte_of(part: str) -> int | None:
    """The byte that a part is, marked or not."""
    found = _BYTE.fullmatch(part)
    return None if found is None else int(found[1], 16)


def says_no_codes(text: str) -> bool:
    """Whether a text says that there are no codes, and nothing else.

    >>> says_no_codes("No trouble codes stored."), says_no_codes("OK")
    (True, False)
    """
    return NO_CODES.fullmatch(plain(text)) is not None


def says_no_answer(text: str) -> bool:
    """Whether a text says that a module did not answer, and nothing else."""
    return NO_ANSWER.fullmatch(plain(text)) is not None


def plain(text: str) -> str:
    """Small letters, single spaces, no signs at the ends."""
    return " ".join(text.lower().split()).strip(" .:!-–—*•·#=()[]<>_|,;\"'")
