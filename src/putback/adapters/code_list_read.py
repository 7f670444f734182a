"""One idea: a code list that the program read itself also says how: over which bus, by which ids, who said what.

These `# key: value` lines are additions to a code list; one without them is a code list all the same. From them the
same modules can be asked again under the same names.
"""

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Final

from putback.core.codes.lists.listing import Listing, Readiness
from putback.core.codes.meaning.code import read_code
from putback.core.codes.meaning.wrong import Wrong
from putback.core.codes.talk.car_read import HIGHEST, CarRead, How, ModuleRead, Pair, read_pair

REPEATED: Final = ("said ", "note ")
"""What a key that may stand more than once begins with; `note` alone may as well."""

_OF_A_MODULE: Final = ("module ", *REPEATED, "readiness ", "permanent ", "took ", "vehicle number ", "service ")
_READINESS: Final = re.compile(r"supported\s+(\d{1,3})\s*,\s*complete\s+(\d{1,3})")
_SERVICE: Final = re.compile(r"[0-9A-Fa-f]{2}")
_TOOK: Final = re.compile(r"(\d{1,7}(?:\.\d{1,6})?)\s*s")
_ID: Final = re.compile(r"(?:0x)?([0-9a-f]{3}|[0-9a-f]{8})", re.IGNORECASE)
_NO_CODES: Final = frozenset({"", "none", "-"})


@dataclass
class _Module:
    """What the lines say of one module."""

    pair: Pair | None = None
    said: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    readiness: Readiness | None = None
    permanent: tuple[str, ...] | None = None
    vin: str | None = None
    service: int | None = None
    took_s: float = 0.0


@dataclass
class ReadLines:
    """The lines of one list that say how it was read."""

    at: str = ""
    bus: str = ""
    vin: str | None = None
    stopped: str = ""
    refused: frozenset[str] = frozenset()
    unasked: tuple[str, ...] = ()
    notes: list[str] = field(default_factory=list)
    modules: dict[str, _Module] = field(default_factory=dict)

    def knows(self, key: str) -> bool:
        """Whether a key, in small letters, is one of these."""
        return key in WHOLE_KEYS or key.startswith(_OF_A_MODULE)

    def may_repeat(self, key: str) -> bool:
        """Whether a key may stand more than once."""
        return key == "note" or key.startswith(REPEATED)

    def take(self, key: str, value: str) -> Wrong | None:
        """Take one line; what is wrong with it."""
        if key in WHOLE_KEYS:
            return WHOLE_KEYS[key](self, value)
        word = next(word for word in _OF_A_MODULE if key.startswith(word))
        module = self.modules.setdefault(key.removeprefix(word).strip(), _Module())
        return _MODULE_KEYS[word](module, value)

    def car_read(self, listing: Listing, masks: Mapping[str, int]) -> CarRead | None:
        """The read, where the lines give the ids of its modules."""
        modules = tuple(
            self._module(name, lines, lines.pair, listing, masks)
            for name, lines in self.modules.items()
            if lines.pair is not None
        )
        if not modules:
            return None
        return CarRead(
            stage=listing.stage,
            at=self.at,
            bus=self.bus,
            modules=modules,
            vin=self.vin,
            stopped=self.stopped,
            since=listing.since,
            notes=tuple(self.notes),
            unasked=self.unasked,
        )

    @property
    def answering(self) -> frozenset[tuple[str, str]]:
        """Under which id each module answers."""
        pairs = ((name, lines.pair) for name, lines in self.modules.items())
        return frozenset((pair.answer_text, name) for name, pair in pairs if pair is not None)

    def _module(self, name: str, lines: _Module, pair: Pair, listing: Listing, masks: Mapping[str, int]) -> ModuleRead:
        return ModuleRead(
            module=name,
            pair=pair,
            how=self._how(name, listing),
            listed=listing.of_module(name),
            mask=masks.get(name, 0xFF),
            permanent=lines.permanent,
            readiness=lines.readiness,
            vin=lines.vin,
            service=lines.service,
            said=tuple(lines.said),
            notes=tuple(lines.notes),
            took_s=lines.took_s,
        )

    def _how(self, name: str, listing: Listing) -> How:
        if name in listing.partial:
            return How.PARTIAL
        if name in self.refused:
            return How.REFUSED
        return How.ANSWERED if listing.heard(name) else How.SILENT


def _at(lines: ReadLines, value: str) -> None:
    lines.at = value


def _bus(lines: ReadLines, value: str) -> None:
    lines.bus = value


def _vin(lines: ReadLines, value: str) -> None:
    lines.vin = value or None


def _stopped(lines: ReadLines, value: str) -> None:
    lines.stopped = value


def _note(lines: ReadLines, value: str) -> None:
    lines.notes.append(value)


def _refused(lines: ReadLines, value: str) -> None:
    lines.refused = frozenset(module_names(value))


def _heard(lines: ReadLines, value: str) -> Wrong | None:
    for text in (part.strip() for part in value.split(",")):
        found = _ID.fullmatch(text)
        if text and (found is None or int(found[1], 16) > HIGHEST[len(found[1]) == 8]):
            return Wrong(what=f"{text!r:.60} is no id", mend="write such as 77D, or 18DAF110 for one of 29 bits")
        if found is not None and found[1].upper() not in lines.unasked:
            lines.unasked = (*lines.unasked, found[1].upper())
    return None


def _pair(module: _Module, value: str) -> Wrong | None:
    pair = read_pair(value)
    if isinstance(pair, Wrong):
        return pair
    module.pair = pair
    return None


def _said(module: _Module, value: str) -> None:
    module.said.append(value)


def _module_note(module: _Module, value: str) -> None:
    module.notes.append(value)


def _readiness(module: _Module, value: str) -> Wrong | None:
    found = read_readiness_words(value)
    if isinstance(found, Wrong):
        return found
    module.readiness = found
    return None


def _permanent(module: _Module, value: str) -> Wrong | None:
    found = read_permanent_words(value)
    wrong = [one for one in found if isinstance(one, Wrong)]
    module.permanent = tuple(str(one) for one in found if not isinstance(one, Wrong))
    return wrong[0] if wrong else None


def _took(module: _Module, value: str) -> Wrong | None:
    found = _TOOK.fullmatch(value)
    if found is None:
        return Wrong(what=f"{value!r:.60} is no time", mend="write such as 0.6 s")
    module.took_s = float(found[1])
    return None


def _service(module: _Module, value: str) -> Wrong | None:
    if _SERVICE.fullmatch(value) is None:
        return Wrong(what=f"{value!r:.60} is no service", mend="write two hex digits, such as 19")
    module.service = int(value, 16)
    return None


def _module_vin(module: _Module, value: str) -> None:
    module.vin = value or None


WHOLE_KEYS: Final[Mapping[str, Callable[[ReadLines, str], Wrong | None]]] = MappingProxyType(
    {
        "read at": _at,
        "bus": _bus,
        "vehicle number": _vin,
        "stopped": _stopped,
        "note": _note,
        "modules refused": _refused,
        "modules heard": _heard,
    }
)
"""The keys about the whole read."""

_MODULE_KEYS: Final[Mapping[str, Callable[[_Module, str], Wrong | None]]] = MappingProxyType(
    {
        "module ": _pair,
        "said ": _said,
        "note ": _module_note,
        "readiness ": _readiness,
        "permanent ": _permanent,
        "took ": _took,
        "vehicle number ": _module_vin,
        "service ": _service,
    }
)


def module_name(text: str) -> str:
    """A module's name: small letters, single spaces, so that two lists of one car agree."""
    return " ".join(text.lower().split())


def module_names(text: str) -> Iterable[str]:
    """The names between commas."""
    return [module for part in text.split(",") if (module := module_name(part))]


def read_readiness_words(value: str) -> Readiness | Wrong:
    """How many self-tests there are, and how many are complete.

    >>> read_readiness_words("supported 8, complete 5").not_complete
    3
    """
    found = _READINESS.fullmatch(value.lower())
    if found is None:
        return Wrong(what=f"{value!r} cannot be read", mend="write: supported 8, complete 5")
    supported, complete = int(found[1]), int(found[2])
    if complete > supported:
        what = f"{complete} complete of {supported} supported"
        return Wrong(what=what, mend="no more can be complete than there are")
    return Readiness(supported=supported, complete=complete)


def read_permanent_words(value: str) -> list[str | Wrong]:
    """Permanent codes between commas, or the word that there are none.

    >>> read_permanent_words("none"), read_permanent_words("p0104")
    ([], ['P0104'])
    """
    if value.lower() in _NO_CODES:
        return []
    codes = [read_code(part) for part in value.split(",")]
    return list(dict.fromkeys(code if isinstance(code, Wrong) else str(code) for code in codes))
