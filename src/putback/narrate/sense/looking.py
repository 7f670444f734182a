"""One idea: parts are looked at, tried, measured, cleaned and marked in many words; tool and manner tell which.

`Spun it by hand`, `feelers in the gap, eight tenths`, `wire brush round the hub`, `chalk line across both`.
"""

from collections.abc import Sequence
from itertools import pairwise

from putback.core.operations import Verb
from putback.narrate.phrase.phrases import Piece, Sort, words_in
from putback.narrate.sense.known import Heads, Known, Rule, done_to
from putback.narrate.sense.parts_of import FLOWS
from putback.narrate.sense.things import singular
from putback.narrate.text.quantities import Of
from putback.narrate.words.lexicon import FASTENERS, VEHICLES, Sense, words_of

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
_PAINT = words_of("paint pen marker chalk scribe varnish crayon polish yellow white pencil")
_MARKS = words_of("stripe line dot dab mark arrow")
_DREW = words_of("put drew scratched scribed dabbed dotted ran made painted chalked")
_SCRIBED = words_of("scribed marked chalked drew traced")
_GETS = words_of("got gets get received receives")
_WITNESS = words_of("witness match index alignment matching reference")
_DRAWN = words_of("drew drawn went gone go")
_GAUGES = words_of(
    "ruler rule gauge vernier micrometer dial feeler feelers straightedge straight-edge thermometer refractometer "
    "rulers gauges ohmmeter voltmeter meter multimeter hydrometer megger mic spirit-level pyrometer callipers"
)
"""What a figure is read from."""
_GAUGES_IN_TWO = (
    ("temperature", "gun"),
    ("load", "tester"),
    ("insulation", "tester"),
    ("dial", "indicator"),
    ("infrared", "gun"),
    ("spirit", "level"),
    ("steel", "rule"),
    ("test", "strip"),
)
_PLACED = words_of("across on to over along against between round around under")
_SAYS = words_of("says say said reads read reading shows show showing showed gives gave")
_MEASURABLE = words_of(
    "height depth thickness run-out runout play resistance voltage pressure backlash gap clearance temperature "
    "insulation"
)
_SEEN = words_of("getting get got see saw showing reading")
_READINGS = words_of(
    "volt volts v ohm ohms bar psi percent % amp amps milliamps hundredths tenths thou degrees degree hertz "
    "kilopascal megohms meg megs celsius fahrenheit millivolts"
)
_TOOK = words_of("take took taken run ran put gave")
_CLEANS_WITH = words_of(
    "brush rag pad scraper file sandpaper emery cloth tap die chaser airline hoover vac vacuum sponge"
)
_SCRAPES = words_of("brush scraper file sandpaper emery airline hoover vac vacuum")
_CLEANERS = (
    "wire brush", "wire wheel", "flap wheel", "brake cleaner", "contact cleaner", "shop vac", "emery cloth",
    "emery paper", "wire cup", "abrasive pad", "fine emery",
)  # fmt: skip
_BRIGHT = words_of("bright bare shiny")
_RUBBED = words_of("rubbed sanded filed scraped ground rub buffed polished brushed scuffed dressed")
_LOOKED = words_of("look waggle feel peek glance listen squint gander squiz wiggle shake nosey sniff poke prod peep")
_LISTENERS = words_of("stethoscope borescope endoscope sniffer camera")
_LIGHTS = frozenset({"torch", "flashlight", "lamp"})
_SHONE = words_of("shone shine ran run took stuck put pointed had shined")
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
_RUN = frozenset({"ran", "run"})
_SPINS = frozenset({"spun", "span", "spin"})
_BY_HAND = (
    "by hand", "with hand", "with finger", "over by hand", "by finger", "hand over", "both ways", "lock to lock",
    "up and down", "side to side", "back and forth", "in and out", "through range", "through its range", "and down",
    "12 and 6", "top and bottom", "with 1 hand", "hand round", "full travel", "times",
)  # fmt: skip
_TURN_BY_THEMSELVES = words_of("wheel hub bearing fan pulley rotor idler impeller roller spindle")
_PRONOUNS = words_of("it her him them both this that one")
_HANDS = words_of("hand hands finger fingers thumb palm fingertip fingertips range travel lock")
_WIRING = words_of("loom wiring wire harness lead pipe hose cable line wires cables pipes")
_GOES = words_of("out off on in apart free away loose back tight home aside down up over past through")
_NEVER_TRIED = words_of("torque wrench spanner socket tape plug engine crank crankshaft") | FASTENERS.keys()
_BLOWN = words_of("blew blown puffed pumped blow")
_GLOVES_TRIED = words_of("checked check air-checked tested air-tested inspected inflated rolled-up")
_FEW = 4
_TELL_MORE = frozenset({Sort.VERB, Sort.SUBJECT, Sort.NOT, Sort.OTHER_VERB, Sort.IF})


def _first_name(parts: Sequence[Piece], but: frozenset[str] = frozenset()) -> Piece | None:
    """The first name that is none of some words, nor of the hand that does it."""
    for piece in parts:
        if piece.sort is Sort.NAME and not set(piece.words) & but and piece.head not in _HANDS:
            return piece
    return None


def _it(parts: Sequence[Piece]) -> bool:
    """Whether nothing is named but what was spoken of: `spun it`, `spun her`, or nothing at all."""
    return all(piece.sort is not Sort.NAME or piece.head in _HANDS for piece in parts)


def _leaks(parts: Sequence[Piece], heads: Heads, words: Sequence[str]) -> Known | None:
    """`Looked for drips`, `I checked all of the joints for leaks`."""
    del words
    if not heads & _LEAKS or not heads & _LOOKS_FOR:
        return None
    of = next((p for p in parts if p.sort is Sort.NAME and p.head not in _LEAKS), None)
    return Known(Verb.INSPECT, "leaks", of)


def _given(parts: Sequence[Piece], heads: Heads, words: Sequence[str]) -> Known | None:
    """`Gave the hose ends a wipe`, `the face got a good scrub`: cleaned, or looked at."""
    if not heads & _GIVES or "a" not in {*words, *(mark for piece in parts for mark in piece.marks)}:
        return None
    cracked = "crack" in words and any(piece.head in FASTENERS for piece in parts)
    verb = Verb.UNDO if cracked else Verb.CLEAN if heads & _WIPES else Verb.INSPECT if heads & _GLANCES else None
    of = next((p for p in parts if p.sort is Sort.NAME and not set(p.words) & (_WIPES | _GLANCES)), None)
    of_it = of is None and {"it", "them", "her"} & set(words) and not heads & _MOVES
    if verb is None or (of is None and not of_it):
        return None
    return done_to(verb, of)


def metered(parts: Sequence[Piece], heads: Heads, words: Sequence[str]) -> Known | None:
    """`I put the meter across the motor, two ohms`, `a ruler on the pads`, `clamp meter says ten amps`."""
    del words
    gauge = next((n for n, piece in enumerate(parts) if _is_gauge(piece)), None)
    if gauge is None:
        return None
    del heads
    following = parts[gauge + 1].low if gauge + 1 < len(parts) else ""
    if following in _SAYS and parts[gauge].sort is Sort.NAME:
        of = _first_name(parts, _GAUGES)
        return done_to(Verb.MEASURE, of)
    within = parts[gauge].head == "thermometer" and following == "in"
    of = _placed(parts[gauge:]) or _placed(parts[:gauge]) or (_first_name(parts[gauge + 1 :]) if within else None)
    checked = any(piece.sense in (Sense.CHECK, Sense.INSPECT, Sense.PROVE) for piece in parts[:gauge])
    if of is None and checked:
        of = _first_name(parts[:gauge], _GAUGES)
    if of is None and [one.low for one in parts[gauge + 1 : gauge + 3]] == ["in", "there"]:
        return Known(Verb.MEASURE, last=True)
    if of is None and gauge and parts[gauge - 1].low == "on" and {piece.low for piece in parts} & _SEEN:
        return Known(Verb.MEASURE, last=True)
    if of is None and gauge < len(parts) - 2 and _put_on_it(parts[gauge + 1 :]):
        return Known(Verb.MEASURE, last=True)
    return Known(Verb.MEASURE, of.low, of) if of is not None else None


def _put_on_it(parts: Sequence[Piece]) -> bool:
    """`… a ruler on them`, `… a dot on it`."""
    return any(one.low in _PLACED and two.sort is Sort.PRONOUN for one, two in pairwise(parts[:3]))


def _is_gauge(piece: Piece) -> bool:
    """Whether a piece names what a figure is read from."""
    named = {singular(word) for word in (piece.low, *piece.words)} & _GAUGES or piece.words[-2:] in _GAUGES_IN_TWO
    return bool(named) and not set(piece.words) & FLOWS


def _placed(parts: Sequence[Piece]) -> Piece | None:
    """What something was put across, on or along."""
    across = next((n for n, piece in enumerate(parts) if piece.low in _PLACED), None)
    return _first_name(parts[across:], _GAUGES) if across is not None else None


def _reading(parts: Sequence[Piece], heads: Heads, words: Sequence[str]) -> Known | None:
    """`Earth strap to body: 0.2 ohm`, `pack voltage, 214 volts`: a part and a reading, and nothing else."""
    del heads, words
    if not parts or parts[0].sort is not Sort.NAME or parts[0].head in FASTENERS:
        return None
    if parts[0].head in _MEASURABLE and parts[0].size is not None and len(parts) == 1:
        return Known(Verb.MEASURE, parts[0].low, parts[0])
    if any(piece.sort in _TELL_MORE or piece.low in _GOES for piece in parts):
        return None
    figures = [piece for piece in parts if piece.quantity is not None and piece.quantity.of is not Of.TORQUE]
    last = figures[-1].quantity if figures and figures[-1] is parts[-1] else None
    reads = last is not None and last.of in (Of.OTHER, Of.ANGLE) and bool(set(parts[-1].words) & _READINGS)
    reads = reads or (parts[0].head in _MEASURABLE and bool(figures))
    return Known(Verb.MEASURE, parts[0].low, parts[0]) if reads else None


def marked(parts: Sequence[Piece], heads: Heads, words: Sequence[str]) -> Known | None:
    """`Put a stripe of paint across the wheel and the shaft.` `I drew round the washers with a pen.`"""
    round_it = words[:1] and words[0] in _SCRIBED and words[1:2] in (["round"], ["around"])
    if round_it and (of := _first_name(parts)) is not None:
        return Known(Verb.MARK, of.low, of)
    drawn_round = any(one in _DRAWN and two == "round" for one, two in pairwise(words)) and set(words) & _PAINT
    if drawn_round and (of := _first_name(parts, _PAINT)) is not None:
        return Known(Verb.MARK, of.low, of)
    across = next((n for n, piece in enumerate(parts) if piece.low in {"across", "on", "over", "along"}), None)
    before = words_in(parts[:across])
    named = set(before) & _MARKS - ({"line"} if "line up" in " ".join(words) else set())
    drawn = set(words[:2]) & _DREW
    witness = named and set(before) & _WITNESS
    pen = set(before) & {"pen", "marker", "chalk"} and across is not None and len(before) <= _FEW
    if not (named and (set(words) & _PAINT or drawn)) and not (drawn and "paint" in before) and not (witness or pen):
        return None
    of = _given_a_mark(parts, words)
    if of is None and across is None:
        return Known(Verb.MARK) if len(words) <= _FEW and heads & {"stripe", "dab", "dot"} else None
    on_it = of is None and _put_on_it(parts[across:])
    if of is None and not on_it:
        of = next((piece for piece in parts[across:] if piece.sort is Sort.NAME), None)
    return done_to(Verb.MARK, of) if on_it or of is not None else None


def _given_a_mark(parts: Sequence[Piece], words: Sequence[str]) -> Piece | None:
    """`Each hose got a dab of white paint`: what was marked."""
    gets = bool(parts) and parts[0].sort is Sort.NAME and set(words) & _GETS
    return parts[0] if gets and not set(parts[0].words) & (_MARKS | _PAINT) else None


def brushed(parts: Sequence[Piece], heads: Heads, words: Sequence[str]) -> Known | None:
    """`I took a wire brush to the flange`."""
    to = next((n for n, piece in enumerate(parts) if piece.low in {"to", "through", "over", "round"}), None)
    if to is None or not set(words) & _TOOK or not heads & _CLEANS_WITH:
        return None
    if parts[to].low in {"over", "round"} and not heads & _SCRAPES:
        return None
    if to + 1 < len(parts) and parts[to + 1].sort in (Sort.VERB, Sort.OTHER_VERB):
        return None
    of = next((piece for piece in parts[to:] if piece.sort is Sort.NAME), None)
    return Known(Verb.CLEAN, of.low, of) if of is not None else None


def _cleaned_with(parts: Sequence[Piece], heads: Heads, words: Sequence[str]) -> Known | None:
    """`Knuckle bore, wire wheel`, `rubbed the lug bright`: by the tool, or by how it looks after."""
    text = " ".join(words)
    rubbed = words[:1] and set(words[:2]) & _RUBBED and heads & _BRIGHT
    tool = next((one for one in _CLEANERS if one in text), None)
    if not rubbed and (tool is None or any(piece.sort is Sort.VERB for piece in parts)):
        return None
    of = _first_name(parts, frozenset((tool or "").split()) | _BRIGHT | {"metal"})
    if of is not None and singular(of.head) in _CLEANS_WITH | VEHICLES:
        return None
    return done_to(Verb.CLEAN, of)


def _listened(parts: Sequence[Piece], heads: Heads, words: Sequence[str]) -> Known | None:
    """`I put the stethoscope on it`, `thermal camera over the modules`."""
    del heads
    tool = next((n for n, piece in enumerate(parts) if set(piece.words) & _LISTENERS), None)
    if tool is None or any(piece.low in _GOES - {"down", "up", "over", "on", "in", "through"} for piece in parts):
        return None
    within = {"in", "into", "down"} & set(words)
    of = _placed(parts[tool + 1 :]) or (_first_name(parts[tool + 1 :]) if within else None)
    if of is None and not {"it", "them", "there"} & set(words):
        return None
    return done_to(Verb.INSPECT, of)


def _lit(parts: Sequence[Piece], heads: Heads, words: Sequence[str]) -> Known | None:
    """`I shone a torch down the inlet`, `torch round the stubs`: looked at."""
    lights = _LIGHTS | ({"light"} if {"shined", "shone", "shine"} & set(words) else set())
    light = next((n for n, piece in enumerate(parts) if singular(piece.head) in lights), None)
    if light is None or not (heads & _SHONE or words[:1] == [parts[light].low]):
        return None
    ways = _LIT_WAYS | ({"on", "at"} if lights != _LIGHTS else set())
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
    of = _first_name(parts[-1:]) if checked else None
    if of is not None:
        return Known(Verb.INSPECT, of.low, of)
    for n, piece in enumerate(parts):
        if piece.sort is Sort.NAME and piece.words[-1] in _LOOKED:
            of = next((one for one in parts[n + 1 :] if one.sort is Sort.NAME), None)
            if of is None and "it" not in words[words.index(piece.words[-1]) :]:
                return None
            return done_to(Verb.INSPECT, of)
    return None


def _tried(parts: Sequence[Piece], heads: Heads, words: Sequence[str]) -> Known | None:
    """`Spun it by hand`, `rocked the wheel at twelve and six`, `waggled the ball joint`: how a part is."""
    verb = next((piece for piece in parts if piece.sort in (Sort.VERB, Sort.OTHER_VERB)), None)
    if verb is None or heads & _NEVER_TRIED or parts.index(verb) > 1:
        return None
    text, of = " ".join(words), _first_name(parts)
    how = any(one in text for one in _BY_HAND)
    looks = verb.low in _LOOKS_IN
    gone = {piece.low for piece in parts if piece.sort is Sort.PARTICLE} & _GOES and not (how or looks)
    by_itself = verb.low in _SPINS and of is not None and singular(of.head) in _TURN_BY_THEMSELVES
    turns = verb.low in _TURNS and (by_itself or (how and not (verb.low in _RUN and "by hand" in text)))
    tried = verb.low in _TRIES or (of is not None and verb.low in {"traced", "followed"} and of.head in _WIRING)
    if of is not None and verb.low == "tried":
        tried = parts[parts.index(verb) + 1 : parts.index(verb) + 2] == [of] and bool(of.marks & {"the", "its", "my"})
    far = of is not None and any(one.low in {"about", "a"} for one in parts[parts.index(verb) + 1 : parts.index(of)])
    if gone or far or not (tried or turns):
        return None
    if of is not None and of.words == ("one",):
        of = None
    shortly = how and len(parts) <= _FEW and verb.low in _TRIES
    if of is None and not shortly and not (_PRONOUNS & set(words) and _it(parts)):
        return None
    return done_to(Verb.INSPECT, of)


def _gloves(parts: Sequence[Piece], heads: Heads, words: Sequence[str]) -> Known | None:
    """`Gloves checked, no holes`, `blew the gloves up`: tried before high voltage is touched."""
    del heads
    of = next((piece for piece in parts if piece.sort is Sort.NAME and piece.words[-1] in {"glove", "gloves"}), None)
    if of is None or any(piece.sort in (Sort.NOT, Sort.IF) and piece.low not in {"no", "none"} for piece in parts):
        return None
    blown = "up" in words and bool(set(words) & _BLOWN)
    return Known(Verb.INSPECT, of.low, of) if blown or set(words) & _GLOVES_TRIED else None


LOOKS: tuple[Rule, ...] = (_leaks, _gloves, _given, _listened, _lit, _look, _reading, _cleaned_with, _tried)
"""What is tried after all that is known of a whole sentence."""
