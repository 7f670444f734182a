"""One idea: what single modules said is put together: each has a name of its own, and the car has one number."""

from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace

from putback.core.codes.talk.car_read import ModuleRead, Pair


def named(read: Sequence[ModuleRead], given: Collection[Pair] = ()) -> Iterable[ModuleRead]:
    """Each module under a name of its own: of several that call themselves the same, the ids tell them apart.

    Args:
        read: the modules.
        given: those that a person has named; they keep their name.
    """
    count = Counter(one.module for one in read)
    for one in read:
        alone = count[one.module] == 1 or one.pair in given
        name = one.module if alone else f"{one.module} {str(one.pair).partition('/')[0].lower()}"
        yield replace(one, module=name, listed=tuple(replace(line, module=name) for line in one.listed))


def number(modules: Sequence[ModuleRead]) -> tuple[str | None, tuple[str, ...]]:
    """The vehicle number that most modules give, and what to say where they differ."""
    given = Counter(one.vin for one in modules if one.vin)
    if not given:
        return None, ()
    most = given.most_common(1)[0][0]
    others = [f"{one.module} gives the vehicle number {one.vin}" for one in modules if one.vin and one.vin != most]
    return most, tuple(others)
