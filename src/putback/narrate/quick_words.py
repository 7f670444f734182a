"""One idea: the words of a quick line are those of narration, sorted by what they do in a line.

They are plain values, so that the bay page reads a line by the very same tables.
"""

from typing import Any

from putback.core.quantity import TORQUE_UNITS_NM
from putback.narrate.sense.things import singular
from putback.narrate.text.numbers import PARTS, TENS, UNITS
from putback.narrate.text.quantities import DRIVES, INCHES, MILLIMETRES, OTHER_UNITS, TENS_OF, TORQUE_UNITS
from putback.narrate.words import lexicon
from putback.narrate.words.lexicon import Sense, words_of

_DOES: dict[Sense, str] = {
    Sense.OFF: "off",
    Sense.UNPLUG: "off",
    Sense.ASIDE: "off",
    Sense.ON: "on",
    Sense.PLUG: "on",
    Sense.START: "start",
    Sense.TIGHTEN: "tighten",
    Sense.RENEW: "renew",
    Sense.DRAIN: "drain",
    Sense.FILL: "fill",
    Sense.COVER: "guard",
    Sense.LOOSEN: "slack",
    Sense.MOVE: "",
    Sense.LAY: "",
}
"""What a verb does in a line; what is not here is logged by a button of its own."""

_POSITIONS = words_of("front rear left right upper lower top bottom inner outer nearside offside middle centre center")
"""Such words are always of a name."""

_STORES = words_of("tray bag box tub tin jar bin drawer bucket dish bench shelf")
_TOOLS = words_of("socket spanner wrench ratchet driver screwdriver gun bit key bar tool pliers pick extension")

_PARTICLES = dict.fromkeys(lexicon.OFF_WORDS - {"loose", "free", "clear"} | lexicon.ASIDE_WORDS, "off") | {
    "back": "on",
    "home": "on",
}

_UNIT_NAMES = {"Nm": "N·m", "lbft": "lbf·ft", "inlb": "lbf·in"}


def _verbs() -> dict[str, str]:
    return {
        word: _DOES.get(sense, "other")
        for word, sense in lexicon.VERBS.items()
        if word not in _POSITIONS and "-" not in word
    }


def _passed_over() -> list[str]:
    """Words that say nothing in a line; an imperative after them is still a verb."""
    plain = lexicon.NOT_NOUNS | lexicon.AUXILIARIES | lexicon.OTHER_VERBS
    read_otherwise = _POSITIONS | lexicon.NEGATIONS | lexicon.CONDITIONS | _PARTICLES.keys()
    return sorted(plain - read_otherwise - {"new", "on", "in", "to"})


def _torque_units() -> list[Any]:
    """Longest first: `foot pounds` before `foot`."""
    known = [[list(unit), _UNIT_NAMES[short]] for unit, short in TORQUE_UNITS]
    return sorted(known, key=lambda one: (-len(one[0]), one[0]))


TABLES: dict[str, Any] = {
    "units": UNITS,
    "tens": TENS,
    "parts": PARTS,
    "millimetres": sorted(MILLIMETRES),
    "inches": sorted(INCHES),
    "drives": DRIVES,
    "other_units": sorted({*OTHER_UNITS, "degrees", "degree", "°", "deg", "minutes", "minute", "mins", "min"}),
    "tens_of": TENS_OF,
    "torque_units": _torque_units(),
    "newton_metres": {name: TORQUE_UNITS_NM[name] for name in _UNIT_NAMES.values()},
    "letters": {"m": "M", "e": "E", "t": "T", "torx": "T", "star": "T"},
    "verbs": _verbs(),
    "participles": sorted(word for word in lexicon.VERBS if lexicon.is_participle(word)),
    "particles": _PARTICLES,
    "weak": ["on", "in", "onto", "into"],
    "negations": sorted(lexicon.NEGATIONS | lexicon.CONDITIONS),
    "corrects": ["sorry", "rather", "correction", "no"],
    "stores": sorted(_STORES),
    "tools": sorted(_TOOLS),
    "fasteners": lexicon.FASTENERS,
    "of_fasteners": sorted(lexicon.OF_FASTENERS - _POSITIONS),
    "passed_over": _passed_over(),
    "singular": {word: singular(word) for word in ("boxes", "fuses")},
}
"""All that a line is read by, as JSON values."""
