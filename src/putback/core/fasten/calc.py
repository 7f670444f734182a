"""One idea: every formula is asked in one manner, by its short name with inputs as text, and says all that is wrong.

`FORMULAS` and `TABLES` are the lists in plain sight: a new module of formulas is named here, and nowhere else.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from difflib import get_close_matches
from itertools import chain
from types import MappingProxyType

from putback.core.fasten import (
    alexander,
    electrical,
    glove_tables,
    isolation,
    labour,
    layout,
    lever,
    lifting,
    limits,
    longform,
    lubricant,
    passes,
    preload,
    seat,
    strength,
    strip,
    thread,
    uncertainty,
    units,
    vdi,
    wrench_tables,
)
from putback.core.fasten.answer import Answer, Formula, Input, Kind, NotComputable, Row
from putback.core.fasten.typed import Unread, with_points

FORMULAS: Mapping[str, Formula] = MappingProxyType(
    {
        formula.name: formula
        for formula in chain(
            units.FORMULAS,
            thread.FORMULAS,
            strength.FORMULAS,
            preload.FORMULAS,
            longform.FORMULAS,
            vdi.FORMULAS,
            lubricant.FORMULAS,
            strip.FORMULAS,
            alexander.FORMULAS,
            lever.FORMULAS,
            uncertainty.FORMULAS,
            seat.FORMULAS,
            electrical.FORMULAS,
            isolation.FORMULAS,
            labour.FORMULAS,
            lifting.FORMULAS,
        )
    }
)

TABLES: Sequence[Row] = (
    *limits.TABLES,
    *thread.TABLES,
    *strength.TABLES,
    *preload.TABLES,
    *vdi.TABLES,
    *lubricant.TABLES,
    *strip.TABLES,
    *layout.TABLES,
    *passes.TABLES,
    *seat.TABLES,
    *wrench_tables.TABLES,
    *electrical.TABLES,
    *isolation.TABLES,
    *glove_tables.TABLES,
    *lifting.TABLES,
)

LOOKUP = "lookup"
ABOUT = "about"
SHOWN = 12
"""So many rows that fit are named; the rest is counted."""


class Wrong(ValueError):
    """A call that cannot be read; `faults` are all of them, each what is wrong and the mend."""

    def __init__(self, faults: Sequence[str]) -> None:
        super().__init__("; ".join(faults))
        self.faults = tuple(faults)


def calc(name: str, given: Mapping[str, str]) -> Answer:
    """Answer one formula, or look a value up in the tables.

    Args:
        name: a formula's short name, or `lookup`.
        given: inputs by name, as typed.

    Raises:
        Wrong: no such formula, or inputs that are missing, unknown or no numbers.
    """
    if name == LOOKUP:
        return look_up(given)
    if name not in FORMULAS:
        raise Wrong([f"{name!r} is no formula{_near(name, [*FORMULAS, LOOKUP])}"])
    formula = FORMULAS[name]
    inputs = _inputs(formula, given)
    try:
        value = formula.work(**inputs)
        if isinstance(value, float) and not math.isfinite(value):
            raise NotComputable("the answer has no end", "check the inputs")
        return Answer(
            value=value,
            unit=formula.unit_of(**inputs) or formula.unit,
            band=formula.band(**inputs),
            source=formula.source,
            warnings=tuple(formula.warn(**inputs)),
        )
    except NotComputable as out:
        return Answer(refused=f"not computable: {out.why}; {out.mend}", unit=formula.unit, source=formula.source)
    except (OverflowError, ZeroDivisionError, ValueError):
        why = "not computable: these inputs have no answer; check them"
        return Answer(refused=why, unit=formula.unit, source=formula.source)


def look_up(given: Mapping[str, str]) -> Answer:
    """What the tables say for some keys; `about` narrows it by words of the row's own text.

    Where several rows fit and say different things the answer is refused, with all of them.

    Raises:
        Wrong: nothing is asked, or no row has these keys.
    """
    if not given:
        known = ", ".join(sorted({key for row in TABLES for key in row.keys}))
        raise Wrong([f"no key is given; give such as class=8.8 property=yield, or {ABOUT}=WORDS; keys: {known}"])
    keys = {key: value for key, value in given.items() if key != ABOUT}
    words = given.get(ABOUT, "").lower().split()
    rows = [row for row in TABLES if _fits(row, keys) and all(word in row.about.lower() for word in words)]
    exact = [row for row in rows if set(row.keys) == set(keys)]
    named = [row for row in rows if row.about.lower() == given.get(ABOUT, "").lower()]
    rows = named or exact or rows
    if not rows:
        raise Wrong([f"no table has {_typed(given)}{_near_keys(keys)}"])
    if len({(row.value, row.unit) for row in rows}) > 1:
        why = f"several rows fit {_typed(given)}; say which, as one of them is asked for: {_each(rows)}"
        return Answer(refused=why, source="; ".join(dict.fromkeys(row.source for row in rows[:SHOWN])))
    row = rows[0]
    warnings = tuple(text for text in (row.note, f"{row.seen}" if row.seen != "seen" else "") if text)
    if isinstance(row.value, tuple):
        return Answer(range=row.value, unit=row.unit, source=row.source, warnings=warnings)
    return Answer(value=row.value, unit=row.unit, source=row.source, warnings=warnings)


def _each(rows: Sequence[Row]) -> str:
    """How each of some rows is asked for: by its own words, or by its keys where it shares them with another."""
    words = [row.about for row in rows]
    ways = [
        f"{ABOUT}={row.about!r}"
        if words.count(row.about) == 1
        else " ".join(f"{key}={value}" for key, value in row.keys.items())
        for row in rows
    ]
    named = list(dict.fromkeys(ways))
    more = f"; and {len(named) - SHOWN} more" if len(named) > SHOWN else ""
    return "; ".join(named[:SHOWN]) + more


def _fits(row: Row, keys: Mapping[str, str]) -> bool:
    return all(_same(row.keys.get(key), value) for key, value in keys.items())


def _same(there: str | None, asked: str) -> bool:
    """Whether a key says what is asked: as text, or as the same number. `00` is a class of its own, not zero."""
    if there is None or there.casefold() == asked.strip().casefold():
        return there is not None
    if "00" in (there, asked.strip()):
        return False
    try:
        return float(there) == float(asked)
    except ValueError:
        return False


def _typed(given: Mapping[str, str]) -> str:
    return " ".join(f"{key}={value}" for key, value in given.items()) or "nothing"


def _near_keys(keys: Mapping[str, str]) -> str:
    known = sorted({key for row in TABLES for key in row.keys})
    strange = [key for key in keys if key not in known]
    if strange:
        return "".join(_near(key, known) for key in strange)
    values = sorted({value for row in TABLES for key, value in row.keys.items() if key in keys})
    return f"; known there: {', '.join(values[:20])}" if values else ""


def _inputs(formula: Formula, given: Mapping[str, str]) -> dict[str, object]:
    known = {one.name: one for one in formula.inputs}
    faults = [f"{name!r} is no input of {formula.name}{_near(name, known)}" for name in given if name not in known]
    read: dict[str, object] = {}
    for one in formula.inputs:
        if one.name in given:
            try:
                read[one.to] = _read(one, given[one.name])
            except ValueError as wrong:
                faults.append(str(wrong))
        elif one.usual is not None:
            read[one.to] = one.usual
        else:
            faults.append(f"{one.name} is missing; give {one.name}=... ({one.what}, {one.unit})")
    if faults:
        raise Wrong(faults)
    return read


def _read(one: Input, text: str) -> object:
    if one.kind is Kind.TEXT:
        return text.strip()
    if one.kind is Kind.NUMBERS:
        return tuple(_number(one, part) for part in text.split("/"))
    return _number(one, text)


def _number(one: Input, text: str) -> float:
    try:
        number = float(with_points(text))
    except Unread as doubt:
        raise ValueError(f"{one.name}={text!r} {doubt}") from None
    except ValueError:
        raise ValueError(f"{one.name}={text!r} is not a number; {one.what}, {one.unit}, as a plain number") from None
    if not math.isfinite(number):
        raise ValueError(f"{one.name}={text!r} has no end; write the number as it is")
    if one.least is not None and number < one.least:
        raise ValueError(f"{one.name}={text} is too small; {one.what} is at least {one.least:g} {one.unit}")
    if one.above is not None and number <= one.above:
        raise ValueError(f"{one.name}={text} is too small; {one.what} is more than {one.above:g} {one.unit}")
    if one.most is not None and number > one.most:
        raise ValueError(f"{one.name}={text} is too much; {one.what} is at most {one.most:g} {one.unit}")
    return number


def _near(name: str, known: Iterable[str]) -> str:
    close = get_close_matches(name, list(known), n=3, cutoff=0.5)
    return f"; near it: {', '.join(close)}" if close else f"; one of {', '.join(sorted(known))}"
