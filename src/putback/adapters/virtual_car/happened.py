"""One idea: what was done to the car and to its modules is a value; a change makes a new one.

All of it is told by whoever tries the virtual car out: which plug was left open, whether the 12 V was off, what was
taught again, whether it was driven.
"""

import dataclasses
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields, replace
from typing import Any

from putback.core.car import Car
from putback.core.codes.meaning.code import read_code
from putback.core.codes.meaning.wrong import Wrong

NOTHING: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class Happened:
    """What was done to the car.

    Args:
        left_open: items whose circuits are open now.
        mended: items that were open and are plugged again.
        power_was_off: every energy of which the car file expects codes was off.
        moved: items that were moved, so that something must be taught again.
        relearned: what was taught again, by its words in the car file or by its code.
        cleared: modules whose codes were cleared.
        driven: modules whose tests ran on a drive since then.
        permanent: codes that the engine keeps as permanent ones.
        driving: whether live values run through a drive; else the engine idles and the car stands.
        false_air: whether the engine draws air past its meter: trims rise, and it misfires.
    """

    left_open: frozenset[str] = NOTHING
    mended: frozenset[str] = NOTHING
    power_was_off: bool = False
    moved: frozenset[str] = NOTHING
    relearned: frozenset[str] = NOTHING
    cleared: frozenset[str] = NOTHING
    driven: frozenset[str] = NOTHING
    permanent: frozenset[str] = NOTHING
    driving: bool = False
    false_air: bool = False

    def cleared_now(self, module: str) -> "Happened":
        """The same after the codes of a module were cleared: its tests have not run since."""
        return replace(self, cleared=self.cleared | {module}, driven=self.driven - {module})


def changed(value: Any, changes: Mapping[str, Any]) -> Any:
    """The dataclass `value` with these fields changed; all that is wrong with the changes at once.

    Raises:
        ValueError: a field has another kind of value.

    >>> changed(Happened(), {"left_open": ["horn-plug"]}).left_open
    frozenset({'horn-plug'})
    """
    wrong, made = [], {}
    for name, new in changes.items():
        old = getattr(value, name)
        try:
            made[name] = _as(old, new, name)
        except ValueError as fault:
            wrong.append(str(fault))
    if wrong:
        raise ValueError("; ".join(wrong))
    return replace(value, **made)


def names_of(value: Any) -> tuple[str, ...]:
    """The names of its fields."""
    return tuple(field.name for field in fields(value))


def plain(value: Any) -> dict[str, Any]:
    """A dataclass of sets and numbers as JSON can carry it."""
    found = dataclasses.asdict(value)
    return {name: sorted(held) if isinstance(held, frozenset) else held for name, held in found.items()}


def _as(old: Any, new: Any, name: str) -> Any:
    """The new value in the kind of the old one."""
    if isinstance(old, frozenset):
        return _set(new, name)
    if isinstance(old, bool):
        if not isinstance(new, bool):
            raise ValueError(f"{name} is {new!r}, it is true or false")
        return new
    if isinstance(new, bool) or not isinstance(new, int | float) or (isinstance(old, int) and new != int(new)):
        raise ValueError(f"{name} is {new!r}, it is a {'whole ' if isinstance(old, int) else ''}number")
    return type(old)(new)


def _set(new: Any, name: str) -> frozenset[str]:
    if isinstance(new, str) or not isinstance(new, Iterable):
        raise ValueError(f"{name} is {new!r}, it is a list of names")
    names = frozenset(new)
    if not all(isinstance(one, str) for one in names):
        raise ValueError(f"{name} holds something that is no name")
    return names


def unknown(happened: Happened, car: Car, modules: Iterable[str]) -> tuple[str, ...]:
    """What is named in there and is not of this car or of these modules; nothing where all is known."""
    modules = tuple(modules)
    relearns = {relearn.what for relearn in car.relearn} | {code for one in car.relearn for code in one.codes}
    asked: tuple[tuple[str, frozenset[str], Iterable[str], str], ...] = (
        ("left_open", happened.left_open, car.items, "no item of this car"),
        ("mended", happened.mended, car.items, "no item of this car"),
        ("moved", happened.moved, car.items, "no item of this car"),
        ("relearned", happened.relearned, relearns, "nothing that this car's file says must be taught again"),
        ("cleared", happened.cleared, modules, "no module"),
        ("driven", happened.driven, modules, "no module"),
    )
    found = [
        f"{field}: {name!r} is {what}" for field, names, known, what in asked for name in sorted(names - {*known})
    ]
    codes = [read_code(code) for code in sorted(happened.permanent)]
    return (*found, *(f"permanent: {code.what}" for code in codes if isinstance(code, Wrong)))
