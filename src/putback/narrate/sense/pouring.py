"""One idea: fluids go out and in by many words; an amount, a vessel or where they were caught tells which way.

`Two quarts out of the gear case`, `reservoir sucked dry`, `half a litre more`, `squeezed it till the bubbles quit`.
"""

from collections.abc import Sequence

from putback.core.operations import Verb
from putback.narrate.phrase.phrases import Piece, Sort
from putback.narrate.sense.known import Heads, Known, Rule
from putback.narrate.words.lexicon import FLUIDS, words_of

_AMOUNTS = words_of(
    "litre litres liter liters l quart quarts pint pints gallon gallons ml mil mils cc grams gram ounces cupful"
)
_OF_OIL = frozenset({"mil", "mils"})
"""An amount only where a fluid is named: else it is a width."""
_VESSELS = words_of(
    "reservoir tank pot bottle jug radiator system gearbox sump case reducer unit loop transaxle circuit reservoirs"
)
_SUCKED = words_of("sucked siphoned syphoned suctioned slurped drew drawn suck")
_LET_OUT = words_of("caught collected collect catching tipped emptied poured dumped drained bled let ran run")
_CAUGHT_IN = words_of("tray tub bucket basin pan container jug can bowl bottle bag drum tote pot catch")
_FOR_WASTE = words_of("can tray tub bucket basin drum")
_RAN_OUT = words_of("ran running draining poured pouring came dripped piddled")
_EMPTY = words_of("out dry empty down")
_MORE = frozenset({"more", "another", "extra"})
_STAYS = words_of("not no never don't didn't if still needs need wants will would weeping dripping leaking")
_BUBBLES = words_of("bubbles bubble")
_BUBBLES_GO = words_of("till until quit stopped no more gone going went out stop nothing none spitting clear")
_POURED = words_of("poured pour tipped added squirted pumped put")
_PUT = frozenset({"put", "tipped", "out"})
_FRESH = words_of("fresh pink blue green red new clean distilled right")


def _fluid(parts: Sequence[Piece]) -> Piece | None:
    return next((piece for piece in parts if piece.sort is Sort.NAME and _is_fluid(piece)), None)


def _is_fluid(piece: Piece) -> bool:
    """`Old gear oil`, `coolant caught`; and not `oil cooler`."""
    if piece.head == "stuff" and set(piece.words) & _FRESH:
        return True
    return piece.head in FLUIDS or (len(piece.words) > 1 and piece.words[-2] in FLUIDS and piece.head in _LET_OUT)


def _amount(parts: Sequence[Piece], fluid: Piece | None) -> bool:
    """Whether so much of something is told."""
    for n, piece in enumerate(parts):
        unit = {piece.low, *piece.words} & _AMOUNTS
        number = piece.quantity is not None or piece.count is not None or (n and parts[n - 1].quantity is not None)
        if unit and (number or "half" in {one.low for one in parts}) and (fluid is not None or unit - _OF_OIL):
            return True
    return False


def _only_said(parts: Sequence[Piece], words: Sequence[str]) -> bool:
    return bool(set(words) & _STAYS) or any(piece.sort in (Sort.IF, Sort.NOT) for piece in parts)


def _drained(parts: Sequence[Piece], heads: Heads, words: Sequence[str]) -> Known | None:
    """`Two quarts out of the case`, `coolant caught in a tray`, `sucked the reservoir dry`."""
    if _only_said(parts, words) or "in" in words[-1:]:
        return None
    said, fluid = set(words), _fluid(parts)
    vessel = next((piece for piece in parts if piece.sort is Sort.NAME and piece.head in _VESSELS), None)
    if fluid is None and vessel is None and not said & _AMOUNTS:
        return None
    of_some = fluid is not None or _amount(parts, fluid)
    sucked = said & _SUCKED and (fluid is not None or vessel is not None) and (fluid is not None or said & _EMPTY)
    sucked = sucked or (said & _SUCKED and "out" in said and _amount(parts, fluid))
    caught = said & _LET_OUT and fluid is not None and (said & {"out", "off"} or heads & _CAUGHT_IN)
    ran = said & {"let", "come", "came"} and _amount(parts, fluid) and said & {"go", "out", "run"}
    caught = caught or (ran and said & {"into", "in"} and heads & _CAUGHT_IN)
    at = next((n for n, piece in enumerate(parts) if piece.low in _RAN_OUT), 0)
    it_ran = _fluid(parts[:at]) is not None or _amount(parts[:at], fluid)
    ran_out = it_ran and bool(said & {"out", "into", "away"})
    emptied = "emptied" in said and (fluid is not None or vessel is not None)
    lies_in = fluid is not None and "in" in said and heads & _FOR_WASTE and not said & {"new", "fresh"}
    lies_in = lies_in and not any(p.sort in (Sort.VERB, Sort.OTHER_VERB, Sort.SUBJECT) for p in parts)
    poured_in = said & {"into", "in"} and vessel is not None and not heads & _CAUGHT_IN
    lies = [piece.low for piece in parts if piece.sort is not Sort.SMALL][1:2] == ["out"] or _amount(parts, fluid)
    out = "out" in said and of_some and lies and not any(p.sort in (Sort.VERB, Sort.OTHER_VERB) for p in parts)
    if poured_in or not (sucked or caught or ran_out or emptied or out or lies_in):
        return None
    of = fluid or vessel
    return Known(Verb.DRAIN, of.low if of is not None else "fluid", of)


def _filled(parts: Sequence[Piece], heads: Heads, words: Sequence[str]) -> Known | None:
    """`Two litres pink in`, `half a quart more`, `gear oil into the reducer`, `it got three litres`."""
    del heads
    if _only_said(parts, words):
        return None
    said = set(words)
    fluid = _fluid(parts)
    if fluid is None and not said & _AMOUNTS and not said & {"full", "fresh"}:
        return None
    amount = _amount(parts, fluid) or ("stuff" in said and _amount(parts, parts[0]))
    fresh = list(words[:2]) == ["fresh", "in"] or (amount and said & {"fresh", "new", "stuff"} and "in" in said)
    verbs = any(piece.sort is Sort.VERB for piece in parts)
    goes_in = words[-1:] == ["in"] and (amount or (fluid is not None and said & _FRESH))
    into = fluid is not None and "into" in said and not verbs
    given = amount and (said & _MORE or {"got", "takes", "took"} & said) and "out" not in said
    poured = (amount or (fluid is not None and not said & _PUT)) and said & _POURED and said & {"in", "into"}
    went_in = amount and bool(said & {"went", "go", "goes"} and said & {"into", "in"}) and "out" not in said
    pumped = "full" in said and {"pumped", "squirted", "filled"} & said
    if not (((goes_in or fresh) and not verbs) or into or given or poured or went_in or pumped):
        return None
    return Known(Verb.FILL, fluid.low if fluid is not None else "fluid", fluid)


def _bled(parts: Sequence[Piece], heads: Heads, words: Sequence[str]) -> Known | None:
    """`Squeezed the hose till the bubbles quit`, `no more bubbles`."""
    del heads
    gone = set(words) & _BUBBLES and set(words) & _BUBBLES_GO
    return Known(Verb.NOTE, "bled") if gone and not any(piece.sort is Sort.IF for piece in parts) else None


POURS: tuple[Rule, ...] = (_drained, _filled, _bled)
"""What is tried of fluids, after all that is known of a whole sentence."""
