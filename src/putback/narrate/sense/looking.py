"""One idea: parts are looked at and tried in many words; tool and manner tell that they were.

`Spun it by hand`, `had a good look along the hoses`, `torch on the tone ring`, `ran a finger round the edge`.
"""

from collections.abc import Sequence
from dataclasses import replace

from putback.core.operations import Verb
from putback.narrate.phrase.phrases import Piece, Sort, words_in
from putback.narrate.sense.known import HANDS, TELL_MORE, Heads, Known, Rule, done_to, first_name, placed
from putback.narrate.sense.parts_of import STATES
from putback.narrate.sense.things import singular
from putback.narrate.words.lexicon import FASTENERS, Sense, words_of

_GIVES = words_of("give gave given giving gives got gets had")
_WIPES = words_of(
    "brush blow blast sweep vacuum dust wipe scrub rinse polish dusting scrape hoover clean wash wipedown brushing "
    "wiping cleaning scraping wire-brushing rub"
)
_GLANCES = words_of(
    "inspection look glance check once-over wiggle waggle jiggle shake spin rock feel listen sniff squiz gander peek "
    "peep twirl prod poke nosey squeeze"
)
_MOVES = words_of("wiggle waggle jiggle shake rock prod poke twirl")
"""What also makes a part let go."""
_LEAKS = words_of("leak leaks drip drips weep weeps seepage dampness")
_LOOKS_FOR = words_of("look looked looking check checked inspect inspected examine examined went gone hunted")
_LOOKED = words_of("look waggle feel peek glance listen squint gander squiz wiggle shake nosey sniff poke prod peep")
_MOVED_CAMERA = words_of("slid slide slipped fitted pushed pressed lifted bracket mount until")
"""The car has a camera too, which goes into its bracket."""
_LISTENERS = words_of("stethoscope borescope endoscope sniffer camera")
_LIGHTS = frozenset({"torch", "flashlight", "lamp"})
_SHONE = words_of("got shone shine ran run took stuck put pointed had shined")
_LIT_WAYS = words_of("down round around along over into in up under through all behind inside")
_TRIES = words_of(
    "waggled wiggled jiggled sniffed eyed peered peeked squinted felt plucked bounced cycled rocked prodded "
    "shook flexed wobbled"
)
"""So one finds out how a part is."""
_LOOKS_IN = words_of("peeked peered squinted sniffed looked")
_TURNS = words_of(
    "spun span spin turned rotated flicked worked moved twirled swung ran run pulled pushed tugged cycled grabbed"
)
_SO_TRIED = _TRIES | _TURNS | {"tried", "traced", "followed"}
_RUN = frozenset({"ran", "run"})
_SPINS = frozenset({"spun", "span", "spin"})
_BY_HAND = (
    "by hand", "with hand", "with finger", "over by hand", "by finger", "hand over", "both ways", "lock to lock",
    "up and down", "side to side", "back and forth", "in and out", "through range", "through its range", "and down",
    "12 and 6", "top and bottom", "with 1 hand", "hand round", "full travel", "times",
)  # fmt: skip
_TURN_BY_THEMSELVES = words_of("wheel hub bearing fan pulley rotor idler impeller roller spindle")
_PRONOUNS = words_of("it her him them both this that one")
_WIRING = words_of("loom wiring wire harness lead pipe hose cable line wires cables pipes")
_GOES = words_of("out off on in apart free away loose back tight home aside down up over past through")
_NEVER_TRIED = words_of("torque wrench spanner socket tape plug engine crank crankshaft") | FASTENERS.keys()
_BLOWN = words_of("blew blown puffed pumped blow")
_GLOVES_TRIED = words_of("checked check aired air air-checked tested air-tested inspected inflated rolled-up")
_FEW = 4
_FELT_WITH = words_of("finger fingers thumb fingernail nail hand fingertip fingertips thumbnail")
_ALONG = words_of("round around along over inside down across")
_WENT_ROUND = words_of("looked went gone peered checked listened looking")
_HAD = words_of("had took have take")


def _it(parts: Sequence[Piece]) -> bool:
    """Whether nothing is named but what was spoken of: `spun it`, `spun her`, or nothing at all."""
    return all(piece.sort is not Sort.NAME or piece.head in HANDS for piece in parts)


def _ran_along(parts: Sequence[Piece], heads: Heads, words: Sequence[str]) -> Known | None:
    """`I ran a finger round the edge.`"""
    if not heads & _RUN:
        return None
    felt = next((n for n, piece in enumerate(parts) if {piece.head, piece.low} & _FELT_WITH), None)
    if felt is None or felt + 2 >= len(parts) or not set(words) & _RUN or parts[felt + 1].low not in _ALONG:
        return None
    of = first_name(parts[felt + 1 :])
    edge = of is None and {piece.low for piece in parts[felt + 1 :]} & {"it", "them", "edge", "rim", "lip", "end"}
    return done_to(Verb.INSPECT, of) if of is not None or edge else None


def _looked_with(parts: Sequence[Piece], heads: Heads, words: Sequence[str]) -> Known | None:
    """`Looked in with the mirror`, `went round with the lamp`, `the seam is seen with a torch`."""
    way = next((n for n, piece in enumerate(parts) if piece.low == "with"), None)
    if way is None or way + 1 >= len(parts) or not heads & (_LIGHTS | _LISTENERS | {"mirror"}):
        return None
    looked = set(words[:3]) & _WENT_ROUND and set(words_in(parts[:way])) & _LIT_WAYS
    seen = "seen" in words
    if not (looked or seen) or any(piece.sort in (Sort.NOT, Sort.IF) for piece in parts):
        return None
    return done_to(Verb.INSPECT, first_name(parts[:way]))


def _had_a_look(parts: Sequence[Piece], heads: Heads, words: Sequence[str]) -> Known | None:
    """`Had a good look.`, `I took a proper look around`: at what was spoken of last."""
    del heads
    look = next((n for n, piece in enumerate(parts) if piece.words[-1:] == ("look",)), None)
    if look is None or look == 0 or not set(words[:3]) & _HAD or len(words) > _FEW * 2:
        return None
    after = parts[look + 1 :]
    if not after and not set(words[:3]) & {"had", "took"}:
        return None
    return Known(Verb.INSPECT, last=True) if all(one.low in _LIT_WAYS for one in after) else None


def _leaks(parts: Sequence[Piece], heads: Heads, words: Sequence[str]) -> Known | None:
    """`Looked for drips`, `I checked all of the joints for leaks`."""
    del words
    if not heads & _LEAKS or not heads & _LOOKS_FOR:
        return None
    of = next((p for p in parts if p.sort is Sort.NAME and p.head not in _LEAKS), None)
    return Known(Verb.INSPECT, "leaks", of)


def _given(parts: Sequence[Piece], heads: Heads, words: Sequence[str]) -> Known | None:
    """`Gave the hose ends a wipe`, `the face got a good scrub`: cleaned, or looked at."""
    last = bool({"last", "another", "final"} & set(words)) and bool(heads & _GLANCES)
    if not heads & _GIVES or not (last or "a" in {*words, *(mark for piece in parts for mark in piece.marks)}):
        return None
    cracked = "crack" in words and any(piece.head in FASTENERS for piece in parts)
    verb = Verb.UNDO if cracked else Verb.CLEAN if heads & _WIPES else Verb.INSPECT if heads & _GLANCES else None
    of = next((p for p in parts if p.sort is Sort.NAME and not set(p.words) & (_WIPES | _GLANCES)), None)
    of_it = of is None and {"it", "them", "her", "that", "him"} & set(words) and not heads & _MOVES
    if verb is None or (of is None and not of_it):
        return None
    if verb is Verb.INSPECT and of is not None and of.head in {"plug", "connector"} and heads & {"squeeze", "wiggle"}:
        return None
    return done_to(verb, of)


def _listened(parts: Sequence[Piece], heads: Heads, words: Sequence[str]) -> Known | None:
    """`I put the stethoscope on it`, `thermal camera over the modules`."""
    del heads
    tool = next((n for n, piece in enumerate(parts) if set(piece.words) & _LISTENERS), None)
    if tool is not None and parts[tool].words == ("camera",) and set(words) & _MOVED_CAMERA:
        return None
    if tool is None or any(piece.low in _GOES - {"down", "up", "over", "on", "in", "through"} for piece in parts):
        return None
    within = {"in", "into", "down"} & set(words)
    of = placed(parts[tool + 1 :]) or (first_name(parts[tool + 1 :]) if within else None)
    if of is None and not {"it", "them", "there"} & set(words):
        return None
    return done_to(Verb.INSPECT, of)


def _lit(parts: Sequence[Piece], heads: Heads, words: Sequence[str]) -> Known | None:
    """`I shone a torch down the inlet`, `torch round the stubs`: looked at."""
    lights = _LIGHTS | ({"light"} if {"shined", "shone", "shine"} & set(words) else set())
    light = next((n for n, piece in enumerate(parts) if singular(piece.head) in lights), None)
    if light is None or not (heads & _SHONE or words[:1] == [parts[light].low]):
        return None
    bare = light == 0 and parts[0].head in {"torch", "flashlight"}
    bare = bare and not any(piece.sort in TELL_MORE or piece.low in STATES for piece in parts)
    ways = _LIT_WAYS | ({"on", "at"} if lights != _LIGHTS or bare else set())
    way = next((n for n, piece in enumerate(parts) if n > light and piece.low in ways), None)
    if way is None:
        return None
    of = next((one for one in parts[way:] if one.sort is Sort.NAME), None)
    if of is None and not {"it", "there"} & set(words):
        return None
    return done_to(Verb.INSPECT, of)


def _look(parts: Sequence[Piece], heads: Heads, words: Sequence[str]) -> Known | None:
    """`Take a look at the mounts`, `had a squiz at it`, `visual check of the hoses`."""
    checked = heads & {"check", "inspection"} and "visual" in words and "of" in words
    of = first_name(parts[-1:]) if checked else None
    if of is not None:
        return Known(Verb.INSPECT, of.low, of)
    for n, piece in enumerate(parts):
        if piece.sort is Sort.NAME and piece.words[-1] in _LOOKED and not _before_it_moved(parts[n + 1 :]):
            of = next((one for one in parts[n + 1 :] if one.sort is Sort.NAME), None)
            if of is None and "it" not in words[words.index(piece.words[-1]) :]:
                return None
            return done_to(Verb.INSPECT, of)
    return None


def _before_it_moved(after: Sequence[Piece]) -> bool:
    """`After a wiggle the manifold lifted out`: what was done before something moved."""
    return [piece.sort for piece in after[:2]] == [Sort.NAME, Sort.VERB] and after[1].sense is Sense.MOVE


def _tried(parts: Sequence[Piece], heads: Heads, words: Sequence[str]) -> Known | None:
    """`Spun it by hand`, `rocked the wheel at twelve and six`, `waggled the ball joint`: how a part is."""
    verb = next((piece for piece in parts if piece.sort in (Sort.VERB, Sort.OTHER_VERB)), None)
    if verb is None or verb.low not in _SO_TRIED or heads & _NEVER_TRIED or parts.index(verb) > 1:
        return None
    text, of = " ".join(words), first_name(parts)
    how = any(one in text for one in _BY_HAND)
    looks = verb.low in _LOOKS_IN
    gone = {piece.low for piece in parts if piece.sort is Sort.PARTICLE} & _GOES and not (how or looks)
    by_itself = verb.low in _SPINS and of is not None and singular(of.head) in _TURN_BY_THEMSELVES
    turns = verb.low in _TURNS and (by_itself or (how and not (verb.low in _RUN and "by hand" in text)))
    tried = verb.low in _TRIES or (of is not None and verb.low in {"traced", "followed"} and of.head in _WIRING)
    if of is not None and verb.low == "tried":
        tried = parts[parts.index(verb) + 1 : parts.index(verb) + 2] == [of] and bool(of.marks & {"the", "its", "my"})
    far = of is not None and any(one.low in {"about", "a"} for one in parts[parts.index(verb) + 1 : parts.index(of)])
    gone = gone or " out of " in f" {text} " or (verb.low in _RUN and "up" in words and "and down" not in text)
    if gone or far or not (tried or turns):
        return None
    if of is not None and of.words == ("one",):
        return done_to(Verb.INSPECT, None)
    shortly = how and len(parts) <= _FEW and verb.low in _TRIES
    if of is None and not shortly and not (_PRONOUNS & set(words) and _it(parts)):
        return None
    return done_to(Verb.INSPECT, of)


def _gloves(parts: Sequence[Piece], heads: Heads, words: Sequence[str]) -> Known | None:
    """`Gloves checked, no holes`, `blew the gloves up`: tried before high voltage is touched."""
    del heads
    of = next((piece for piece in parts if piece.sort is Sort.NAME and {"glove", "gloves"} & set(piece.words)), None)
    if of is not None and of.words[-2:] in (("gloves", "air"), ("glove", "air")):
        of = replace(of, words=of.words[:-1], low=" ".join(of.words[:-1]))
    negated = any(piece.sort in (Sort.NOT, Sort.IF) and piece.low not in {"no", "none"} for piece in parts)
    if of is None or of.head not in {"glove", "gloves"} or negated:
        return None
    blown = "up" in words and bool(set(words) & _BLOWN)
    return Known(Verb.INSPECT, of.low, of) if blown or set(words) & _GLOVES_TRIED else None


LOOKS: tuple[Rule, ...] = (
    _leaks, _gloves, _ran_along, _looked_with, _given, _listened, _lit, _had_a_look, _look, _tried,
)  # fmt: skip
"""What is tried after all that is known of a whole sentence."""
