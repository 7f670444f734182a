"""One idea: notes shorten words and dialects clip them; both are read as the words they stand for."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from putback.narrate.text.numbers import TENS, UNITS
from putback.narrate.text.tokens import Token

_SHORT: Final[dict[str, str]] = {
    "em": "them",
    "cannae": "can't",
    "dinnae": "don't",
    "didnae": "didn't",
    "wasnae": "wasn't",
    "isnae": "isn't",
    "willnae": "won't",
    "naebody": "nobody",
    "wan": "one",
    "oul": "old",
    "auld": "old",
    "oot": "out",
    "doon": "down",
    "aff": "off",
    "tae": "to",
    "frae": "from",
    "heid": "head",
    "yer": "your",
    "wi": "with",
    "'em": "them",
    "'un": "one",
    "conn": "connector",
    "conns": "connectors",
    "svc": "service",
    "srv": "service",
    "cvr": "cover",
    "cvrs": "covers",
    "chkd": "checked",
    "ckd": "checked",
    "insp": "inspected",
    "insp'd": "inspected",
    "mtg": "mounting",
    "mntg": "mounting",
    "brkt": "bracket",
    "brkts": "brackets",
    "bkt": "bracket",
    "gnd": "ground",
    "sig": "signal",
    "inv": "inverter",
    "conv": "converter",
    "assy": "assembly",
    "rad": "radiator",
    "reinst": "reinstalled",
    "reinstld": "reinstalled",
    "rmvd": "removed",
    "rem'd": "removed",
    "remvd": "removed",
    "repl": "replaced",
    "replcd": "replaced",
    "discon": "disconnected",
    "disconn": "disconnected",
    "discd": "disconnected",
    "reconn": "reconnected",
    "unplgd": "unplugged",
    "torq": "torque",
    "torqd": "torqued",
    "tq": "torque",
    "meas": "measured",
    "btm": "bottom",
    "lwr": "lower",
    "upr": "upper",
    "frt": "front",
    "rr": "rear",
    "sens": "sensor",
    "snsr": "sensor",
    "temp": "temperature",
    "exh": "exhaust",
    "blt": "bolt",
    "blts": "bolts",
    "scr": "screw",
    "scrs": "screws",
    "clnd": "cleaned",
    "cln": "clean",
    "lubd": "lubricated",
    "instld": "installed",
    "fitd": "fitted",
    "veh": "vehicle",
    "batt": "battery",
    "bat": "battery",
    "neg": "negative",
    "comp": "compressor",
    "trans": "transmission",
    "hsg": "housing",
    "lh": "left",
    "rh": "right",
    "dvom": "multimeter",
    "dmm": "multimeter",
    "mins": "minutes",
    "roon": "round",
    "ower": "over",
    "intae": "into",
    "ontae": "onto",
    "yin": "one",
    "yins": "ones",
    "noo": "now",
    "fae": "from",
    "hing": "hang",
    "hingin": "hanging",
    "haud": "hold",
    "nane": "none",
    "disnae": "doesn't",
    "wouldnae": "wouldn't",
    "gonnae": "gonna",
    "oan": "on",
    "hyem": "home",
    "hame": "home",
    "roond": "round",
    "doun": "down",
    "ta'en": "taken",
    "gied": "gave",
    "gie": "give",
    "owt": "anything",
    "nowt": "nothing",
    "owd": "old",
    "uns": "ones",
    "outta": "out",
    "outa": "out",
    "offa": "off",
    "lemme": "let",
    "pon": "on",
    "afore": "before",
    "backards": "backwards",
    "shoulda": "should've",
    "coulda": "could've",
    "woulda": "would've",
}
"""What workshop notes write short, and Scots, as it is read aloud: common practice, no source."""
_PIECES: Final = frozenset({"number", "numbers", "nos", "pcs", "pieces", "pce"})
_AFTER_A_NUMBER: Final = frozenset({"plate", "plates", "of", "on"})
_CLIPPED: Final = {"an": "and", "wi": "with", "o": "of", "th": "the"}
"""Before an apostrophe: `wi' t'wrench`."""
_UNDER_THE_CAR: Final = frozenset({"tray", "trays", "shield", "shields"})
_BEFORE_A_NAME: Final = frozenset({"the", "plastic", "front", "rear", ".", ",", "and", "engine"})
_KINDS_OF_CAR: Final = (["in", "hybrid"], ["in", "hybrids"], ["in", "car"])
_OF_POWER: Final = frozenset({"12", "12v", "neg", "negative", "batt", "battery", "hv", "svc"})
_MARKS: Final = frozenset({"'", "’"})


def spelt_out(words: Sequence[Token]) -> list[Token]:
    """The tokens with short and clipped words read in full; each keeps its place in the text.

    >>> from putback.narrate.text.tokens import tokens
    >>> [token.low for token in spelt_out(tokens("svc plug out wi' t'wrench"))]
    ['service', 'plug', 'out', 'with', 'wrench']
    """
    found: list[Token] = []
    skip = False
    for n, token in enumerate(words):
        if skip:
            skip = False
            continue
        following = words[n + 1] if n + 1 < len(words) else None
        if token.low == "disc" and following is not None and following.low in _OF_POWER:
            found.append(replace(token, low="disconnected"))
            continue
        if token.low in _PIECES and n and _is_number(words[n - 1]) and _ends_there(following):
            found.append(replace(token, low="off"))
            continue
        if token.low == "under" and following is not None and following.low in _UNDER_THE_CAR and _opens(words, n):
            found.append(replace(token, low="under" + following.low, end=following.end))
            skip = True
            continue
        if token.low == "plug" and [one.low for one in words[n + 1 : n + 3]] in _KINDS_OF_CAR:
            found.append(replace(token, low="electric"))
            skip = True
            continue
        clipped = following is not None and following.low in _MARKS and following.start == token.end
        if clipped and token.low in _CLIPPED:
            found.append(replace(token, low=_CLIPPED[token.low]))
            skip = True
        elif token.low == "w" and following is not None and following.low == "/" and following.start == token.end:
            found.append(replace(token, low="with"))
            skip = True
        elif token.low.startswith("t'") and len(token.low) > _SHORTEST:
            found.append(replace(token, low=token.low[2:]))
        else:
            found.append(replace(token, low=_SHORT[token.low]) if token.low in _SHORT else token)
    return found


def _opens(words: Sequence[Token], n: int) -> bool:
    """Whether a name may begin at a place: `the under tray`, `Under tray off`."""
    return n == 0 or words[n - 1].low in _BEFORE_A_NAME


def _is_number(token: Token) -> bool:
    """Whether a token is a number, in digits or in a word."""
    return token.kind == "number" or token.low in UNITS or token.low in TENS


def _ends_there(following: Token | None) -> bool:
    """`Nut, 1 number, 9 Nm`, `screws, 4 nos`: so many off; and not `2 pieces of tape`."""
    return following is None or following.low not in _AFTER_A_NUMBER


_SHORTEST: Final = 4
