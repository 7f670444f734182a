"""One idea: a made-up car has zones, and in each zone layers from the outside to the inside.

Whatever lies in a layer is covered by something one layer further out, near it. A few shared covers (the
undertray, the bumper skin) lie over several zones. Small things (connectors, brackets, hose clips) hang on
the large ones; one-time parts come with what they seal and need it off; energies come with what they endanger
and need what is operated to make them safe. Some joints can be reached straight on, slowly, or from another
side, where other things must come off first.

Everything is drawn from a seed; minutes are multiples of a half.
"""

from dataclasses import dataclass
from random import Random

from putback.plan.access import AccessProblem, Choice, Way

ZONES = 24
LAYERS = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class Car:
    """A made-up car and the items that can be asked for, by layer (0 is the outside)."""

    problem: AccessProblem
    layers: tuple[tuple[int, ...], ...]

    def targets(self, random: Random, count: int = 1) -> tuple[int, ...]:
        """Distinct items drawn from the inner half of the car."""
        inner = [item for layer in self.layers[LAYERS // 2 :] for item in layer]
        return tuple(sorted(random.sample(inner, count)))


class _Yard:
    """A car while it is put together: lists that grow, one entry for each node."""

    def __init__(self, seed: int) -> None:
        self.random = Random(seed)
        self.minutes: list[float] = []
        self.needs: list[tuple[int, ...]] = []
        self.brings: list[tuple[int, ...]] = []
        self.choices: list[Choice] = []

    def add(self, minutes: float, needs: tuple[int, ...] = (), brings: tuple[int, ...] = ()) -> int:
        self.minutes.append(minutes)
        self.needs.append(needs)
        self.brings.append(brings)
        return len(self.minutes) - 1

    def halves(self, low: float, high: float) -> float:
        return self.random.randint(int(low * 2), int(high * 2)) / 2

    def few(self, pool: list[int], most: int) -> tuple[int, ...]:
        count = min(len(pool), self.random.randint(1, most))
        return tuple(sorted(self.random.sample(pool, count)))


def made_car(*, nodes: int, seed: int, with_ways: float = 0.2, most_ways: int = 2, circles: float = 0.02) -> Car:
    """A car of about `nodes` nodes.

    Args:
        nodes: items, one-time parts and energies together.
        seed: same seed, same car.
        with_ways: share of the nodes that have a joint with ways.
        most_ways: ways of such a joint, 2 at least.
        circles: share of the ways that lead inwards, and so may need their own item.
    """
    yard = _Yard(seed)
    zones = min(ZONES, max(2, nodes // 25))
    covers = [yard.add(yard.halves(6, 20)) for _ in range(max(2, zones // 3))]
    layers: list[list[list[int]]] = [[[] for _ in range(LAYERS)] for _ in range(zones)]
    while len(yard.minutes) < nodes:
        zone = yard.random.randrange(zones)
        layer = min(yard.random.randrange(LAYERS), yard.random.randrange(LAYERS) + 2)
        _add_item(yard, layers, covers, zone, layer)
    _add_ways(yard, layers, covers, round(with_ways * nodes), most_ways, circles)
    problem = AccessProblem(
        minutes=tuple(yard.minutes),
        needs=tuple(yard.needs),
        brings=tuple(yard.brings),
        choices=tuple(yard.choices),
    )
    by_layer = tuple(tuple(item for zone in layers for item in zone[layer]) for layer in range(LAYERS))
    return Car(problem=problem, layers=by_layer)


def _add_item(yard: _Yard, layers: list[list[list[int]]], covers: list[int], zone: int, layer: int) -> None:
    """One item with what hangs on it."""
    random = yard.random
    over = [item for outer in layers[zone][max(0, layer - 2) : layer] for item in outer][-12:]
    needs = set(yard.few(over, 3)) if over else set()
    if layer <= 2 and random.random() < 0.6:
        needs.add(covers[zone % len(covers)])
    if layer >= 2 and random.random() < 0.15:
        beside = layers[(zone + 1) % len(layers)][layer - 1][-4:]
        needs.update(yard.few(beside, 1) if beside else ())
    for _ in range(random.choice([0, 0, 1, 2])):
        needs.add(yard.add(yard.halves(0.5, 2), tuple(over[-1:])))
    item = yard.add(yard.halves(1, 9), tuple(sorted(needs)))
    layers[zone][layer].append(item)
    if random.random() < 0.15:
        seal = yard.add(yard.halves(0.5, 1), (item,))
        yard.brings[item] += (seal,)
    if random.random() < 0.03:
        operated = random.choice(layers[random.randrange(len(layers))][0] or covers)
        yard.brings[item] += (yard.add(0, (operated,)),)


def _add_ways(
    yard: _Yard, layers: list[list[list[int]]], covers: list[int], count: int, most_ways: int, circles: float
) -> None:
    """Give that many items a joint with ways: one straight on and slow, the others from another side."""
    random = yard.random
    places = [
        (zone, layer, item) for zone, stack in enumerate(layers) for layer, items in enumerate(stack) for item in items
    ]
    for zone, layer, item in random.sample(places, min(count, len(places))):
        straight = Way(minutes=yard.halves(2, 14), needs=())
        ways = [straight if random.random() < 0.6 else _other_side(yard, layers, covers, zone, layer, circles)]
        while len(ways) < 2 or (len(ways) < most_ways and random.random() < 0.5):
            ways.append(_other_side(yard, layers, covers, zone, layer, circles))
        yard.choices.append(Choice(owner=item, ways=tuple(ways)))


def _other_side(
    yard: _Yard, layers: list[list[list[int]]], covers: list[int], zone: int, layer: int, circles: float
) -> Way:
    """A way through a neighbouring zone, no deeper than the item, at times by a shared cover."""
    random = yard.random
    beside = layers[(zone + random.choice([-1, 1])) % len(layers)]
    depth = range(layer + 1, LAYERS) if random.random() < circles else range(max(1, layer))
    pool = [item for at in depth for item in beside[at]] or covers
    needs = set(yard.few(pool, 2))
    if random.random() < 0.3:
        needs.add(random.choice(covers))
    return Way(minutes=yard.halves(0, 3), needs=tuple(sorted(needs)))
