"""One idea: most choices settle themselves; each step here keeps at least one least answer, and the steps repeat."""

from putback.plan.access.core import Core, CoreChoice, Option, closes_circle, common_mask, weight
from putback.plan.access.graph import mask_of, members


class _Bench:
    """The core taken apart for work: lists that shrink while `must` and `base` grow."""

    def __init__(self, core: Core) -> None:
        self.core = core
        self.base = core.base
        self.weights = list(core.weights)
        self.settled = dict(core.settled)
        self.arcs = dict(core.arcs)
        self.must = 0
        self.implied: list[tuple[int, int]] = []  # (trigger, mask): settled, but not owed by every work
        self.implying = 0  # the triggers of `implied`
        self.triggers = {choice.number: choice.trigger for choice in core.choices}
        self.by_block: dict[int, list[int]] = {}
        for number, trigger in self.triggers.items():
            for block in members(trigger):
                self.by_block.setdefault(block, []).append(number)
        self.conditional = mask_of(self.by_block)
        self.owners = {choice.number: choice.owner for choice in core.choices}
        self.options = {choice.number: list(choice.options) for choice in core.choices}
        self.possible = True

    def owed(self, number: int) -> bool:
        """Whether every work holds the owner of this choice."""
        trigger = self.triggers[number]
        return not trigger or bool(trigger & self.must)

    def closed(self, mask: int) -> int:
        """The set with all that settled choices add to it."""
        grown = bool(mask & self.implying)
        while grown:
            grown = False
            for trigger, more in self.implied:
                if mask & trigger and more & ~mask:
                    mask |= more
                    grown = True
        return mask

    def circles(self, number: int, option: Option) -> bool:
        """Whether taking the way closes a circle with what is settled."""
        return option.risky and closes_circle(self.core, self.owners[number], option.needs, self.arcs)


def shrunk(core: Core) -> Core | None:
    """The core with everything settled that settles itself; None when no legal choice of ways exists.

    The answer of least cost is kept (one of them, when several cost the same); dearer ones may be lost.
    A core that is given back may still turn out to have no legal choice when ways are risky.
    """
    bench = _Bench(core)
    moved = True
    while moved:
        moved = _keep_relevant(bench)
        moved = _drop_circles(bench) or moved
        moved = _settle(bench) or moved
        if not bench.possible:
            return None
        _clear_must(bench)
        _level(bench)
        moved = _drop_dominated(bench) or moved
    return _merged(bench)


def _keep_relevant(bench: _Bench) -> bool:
    """Forget the choices whose owner can no longer come into the work."""
    kept = {number for number in bench.options if bench.owed(number)}
    waiting = list(kept)
    reached = bench.must
    while waiting:
        fresh = 0
        for option in bench.options[waiting.pop()]:
            fresh |= option.mask & ~reached
        reached |= fresh
        more = [number for number in _owed_by(bench, fresh) if number not in kept]
        kept.update(more)
        waiting.extend(more)
    lost = [number for number in bench.options if number not in kept]
    for number in lost:
        del bench.options[number]
    return bool(lost)


def _drop_circles(bench: _Bench) -> bool:
    """Drop risky ways whose needs lead back to their owner over what is settled."""
    moved = False
    for number, options in bench.options.items():
        kept = [option for option in options if not bench.circles(number, option)]
        moved = moved or len(kept) < len(options)
        bench.options[number] = kept
    return moved


def _settle(bench: _Bench) -> bool:
    """Take the last way of a choice; strike out what a choice without ways blocks; let common blocks join."""
    moved = False
    for number in list(bench.options):
        options = bench.options[number]
        if not options:
            _block(bench, number)
            moved = True
        elif len(options) == 1:
            if bench.circles(number, options[0]):
                options.clear()
                _block(bench, number)
            else:
                _take(bench, number, options[0])
            moved = True
        elif bench.owed(number):
            common = bench.closed(common_mask(_choice(bench, number)))
            moved = moved or bool(common & ~bench.must)
            bench.must |= common
    if moved:
        _widen(bench)
    return moved


def _choice(bench: _Bench, number: int) -> CoreChoice:
    return CoreChoice(
        number=number,
        owner=bench.owners[number],
        trigger=bench.triggers[number],
        options=tuple(bench.options[number]),
    )


def _block(bench: _Bench, number: int) -> None:
    """A choice without ways: its owner cannot be in the work, nor any way that would bring it."""
    if bench.owed(number):
        bench.possible = False
        return
    trigger = bench.triggers[number]
    del bench.options[number]
    for other, options in bench.options.items():
        bench.options[other] = [option for option in options if not bench.closed(option.mask) & trigger]


def _take(bench: _Bench, number: int, option: Option) -> None:
    """Settle a choice on its last way."""
    owner, trigger = bench.owners[number], bench.triggers[number]
    bench.settled[number] = option.number
    bench.arcs[owner] = bench.arcs.get(owner, ()) + option.needs
    del bench.options[number]
    if bench.owed(number):
        bench.base += option.units
        bench.must |= bench.closed(option.mask)
        return
    bench.weights[next(members(trigger))] += option.units
    bench.implied.append((trigger, option.mask))
    bench.implying |= trigger


def _widen(bench: _Bench) -> None:
    """Let every way hold what settled choices add to it."""
    for number, options in bench.options.items():
        bench.options[number] = [_with(option, bench.closed(option.mask), option.units) for option in options]


def _with(option: Option, mask: int, units: int) -> Option:
    if mask == option.mask and units == option.units:
        return option
    return Option(number=option.number, units=units, mask=mask, needs=option.needs, knot=option.knot)


def _clear_must(bench: _Bench) -> None:
    """Take what every work holds out of the ways."""
    bench.must = bench.closed(bench.must)
    for number, options in bench.options.items():
        bench.options[number] = [_with(option, option.mask & ~bench.must, option.units) for option in options]


def _level(bench: _Bench) -> None:
    """Charge what a choice costs at least to its owner."""
    for number, options in bench.options.items():
        least = min((option.units for option in options), default=0)
        if not least:
            continue
        if bench.owed(number):
            bench.base += least
        else:
            bench.weights[next(members(bench.triggers[number]))] += least
        bench.options[number] = [_with(option, option.mask, option.units - least) for option in options]


def _drop_dominated(bench: _Bench) -> bool:
    """Drop each way that another way of its choice can stand in for, at no more cost and without any circle."""
    once = shared = 0
    for options in bench.options.values():
        for option in options:
            shared |= once & option.mask
            once |= option.mask
    moved = False
    for number in bench.options:
        for option in list(bench.options[number]):
            options = bench.options[number]
            if len(options) > 1 and _replaceable(bench, number, option, option.mask & ~shared):
                bench.options[number] = [other for other in options if other is not option]
                moved = True
    return moved


def _replaceable(bench: _Bench, number: int, option: Option, private: int) -> bool:
    """Whether some other way of the choice costs no more, whatever else is chosen.

    Blocks that no other way adds (`private`) leave the work with the way dropped; all its other blocks are
    counted as if they stayed.
    """
    saved = option.units + weight(private, bench.weights)
    there = bench.must | option.mask & ~private
    rivals = [other for other in bench.options[number] if other is not option and not other.risky]
    return any(_completed(bench, other, there, saved) for other in rivals)


def _completed(bench: _Bench, option: Option, there: int, limit: int) -> bool:
    """Whether a way can be taken on top of what is there within the limit, newly owed choices met cheaply.

    Only ways that are not risky are used, so that no circle can arise.
    """
    fresh = option.mask & ~there
    units = option.units + weight(fresh, bench.weights)
    have = there | fresh
    waiting = _owed_by(bench, fresh)
    met = set(waiting)
    while waiting and units <= limit:
        rivals = [other for other in bench.options[waiting.pop()] if not other.risky]
        if not rivals:
            return False
        costs = [other.units + weight(other.mask & ~have, bench.weights) for other in rivals]
        units += min(costs)
        fresh = rivals[costs.index(min(costs))].mask & ~have
        have |= fresh
        more = [number for number in _owed_by(bench, fresh) if number not in met]
        met.update(more)
        waiting.extend(more)
    return units <= limit


def _owed_by(bench: _Bench, fresh: int) -> list[int]:
    return [
        number
        for block in members(fresh & bench.conditional)
        for number in bench.by_block[block]
        if number in bench.options
    ]


def _merged(bench: _Bench) -> Core:
    """The core that is left: what every work holds counted into its base, blocks that now go together merged."""
    lies_in: dict[int, int] = {}
    bit = 1
    for options in bench.options.values():
        for option in options:
            for block in members(option.mask):
                lies_in[block] = lies_in.get(block, 0) | bit
            bit <<= 1
    place: dict[int, int] = {}
    new_of = {block: place.setdefault(signature, len(place)) for block, signature in sorted(lies_in.items())}
    weights = [0] * len(place)
    for block, new in new_of.items():
        weights[new] += bench.weights[block]

    def moved(mask: int) -> int:
        return mask_of({new_of[block] for block in members(mask)})

    choices = tuple(
        CoreChoice(
            number=number,
            owner=bench.owners[number],
            trigger=0 if bench.owed(number) else moved(bench.triggers[number]),
            options=tuple(_with(option, moved(option.mask), option.units) for option in options),
        )
        for number, options in bench.options.items()
    )
    return Core(
        local=bench.core.local,
        base=bench.base + weight(bench.must, bench.weights),
        weights=tuple(weights),
        choices=choices,
        settled=bench.settled,
        arcs=bench.arcs,
    )
