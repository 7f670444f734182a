"""One idea: what is cleaned is told by the tool, by how it looks after, or by the dirt that goes.

`A wire brush to the flange`, `rubbed the lug bright`, `brushed the dust out of the hole`.
"""

from collections.abc import Sequence

from putback.core.operations import Verb
from putback.narrate.phrase.phrases import Piece, Sort
from putback.narrate.sense.known import Heads, Known, Rule, done_to, first_name
from putback.narrate.sense.things import singular
from putback.narrate.words.lexicon import VEHICLES, Sense, words_of

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
_DIRT = words_of("dust grit muck dirt gravel rust sand crud mud leaves debris swarf fluff scale grime gunk")
_GIVEN = words_of("hit did gave got gets give")
_CUTTERS = words_of("tap die chaser")


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
    given = "with" in words and any(piece.low in _GIVEN for piece in parts[:2])
    if not rubbed and (tool is None or (any(piece.sort is Sort.VERB for piece in parts) and not given)):
        return None
    of = first_name(parts, frozenset((tool or "").split()) | _BRIGHT | {"metal"})
    if of is not None and singular(of.head) in _CLEANS_WITH | VEHICLES:
        return None
    return done_to(Verb.CLEAN, of)


def _dirt_out(parts: Sequence[Piece], heads: Heads, words: Sequence[str]) -> Known | None:
    """`Brushed the dust out of the hole`: from where it goes."""
    del words
    verb = next((n for n, piece in enumerate(parts[:3]) if piece.sense is Sense.CLEAN), None)
    if verb is None or not heads & _DIRT:
        return None
    dirt = next((n for n, piece in enumerate(parts) if n > verb and piece.head in _DIRT), None)
    if dirt is None or not {piece.low for piece in parts[dirt + 1 : dirt + 3]} & {"out", "off", "from"}:
        return None
    of = first_name(parts[dirt + 1 :])
    return Known(Verb.CLEAN, of.low, of) if of is not None else None


def _thread_cut(parts: Sequence[Piece], heads: Heads, words: Sequence[str]) -> Known | None:
    """`The tap is run through`: of the thread spoken of."""
    del heads
    cutter = next((n for n, piece in enumerate(parts[:2]) if piece.words[-1:] and piece.head in _CUTTERS), None)
    run = cutter is not None and set(words) & {"run", "ran"} and "through" in words
    return Known(Verb.CLEAN, last=True) if run and len([p for p in parts if p.sort is Sort.NAME]) == 1 else None


CLEANS: tuple[Rule, ...] = (_cleaned_with, _dirt_out, _thread_cut)
"""What is tried after all that is known of a whole sentence."""
