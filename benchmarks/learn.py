"""One idea: what recordings teach is measured on cars whose truth is known.

Invented cars; twenty jobs each, with a random target, in a random legal order; of every thing taken off the
recording marks what had to come off first in 80 % of the cases, and 2 % of all steps are not logged. Then every thing
that any job touched, and pairs of them, are planned from what was learned, with at most three questions, answered as
the true car answers. As the reference beside it: the order alone (no marks, no questions), and one mark believed and
nothing else.

`python -m benchmarks.learn [--quick]` prints a markdown table.
"""

import argparse
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from random import Random
from time import perf_counter

from putback.core.operations import Verb
from putback.core.procedure import Line, Procedure
from putback.narrate.car.learn import (
    MOST_QUESTIONS,
    Learned,
    learned,
    next_doubt,
    recorded,
    with_answer,
)

JOBS = 20
MARKED = 0.8
UNLOGGED = 0.02


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeCar:
    """What must be off for what, directly, and minutes."""

    needs: Mapping[str, tuple[str, ...]]
    minutes: Mapping[str, float]

    def closure(self, things: Iterable[str]) -> set[str]:
        """These things and all that must be off before them."""
        found = set(things)
        waiting = list(found)
        for thing in waiting:
            more = set(self.needs[thing]) - found
            found |= more
            waiting += sorted(more)
        return found


def made_car(random: Random, size: int) -> MadeCar:
    """Things in layers: each is hidden by up to three that lie further out, near it."""
    names = [f"thing {n}" for n in range(size)]
    needs: dict[str, tuple[str, ...]] = {}
    for n, name in enumerate(names):
        near = names[max(0, n - 12) : n]
        needs[name] = tuple(random.sample(near, min(len(near), random.choice([0, 1, 1, 2, 3]))))
    return MadeCar(needs=needs, minutes={name: random.randint(1, 20) / 2 for name in names})


def made_job(car: MadeCar, random: Random, number: int) -> Procedure:
    """One recorded job: there and back in a legal order, with marks, with steps that nobody logged."""
    work = car.closure([random.choice(list(car.needs))])
    off = _legal(car, work, random)
    back = list(reversed(_legal(car, work, random)))
    lines: list[Line] = []
    numbers: dict[str, int] = {}
    for verb, things in ((Verb.REMOVE, off), (Verb.FIT, back)):
        for thing in things:
            if random.random() < UNLOGGED:
                continue
            n = len(lines) + 1
            marked = verb is Verb.REMOVE and random.random() < MARKED
            first = tuple(numbers[one] for one in car.needs[thing] if one in numbers) if marked else ()
            twin = numbers.get(thing) if verb is Verb.FIT else None
            lines.append(Line(n=n, verb=verb, object=thing, first=first, twin=twin))
            if verb is Verb.REMOVE:
                numbers[thing] = n
    return Procedure(car="made up", file=f"job {number}", lines=tuple(lines))


def _legal(car: MadeCar, work: set[str], random: Random) -> list[str]:
    """A random order in which nothing comes off before what hides it."""
    order: list[str] = []
    left = sorted(work)
    while left:
        free = [thing for thing in left if all(one in order for one in car.needs[thing])]
        thing = random.choice(free)
        left.remove(thing)
        order.append(thing)
    return order


def asked(known: Learned, car: MadeCar, targets: Sequence[str]) -> tuple[Learned, int]:
    """What is known after at most three questions, each answered as the car is."""
    for number in range(MOST_QUESTIONS):
        doubt = next_doubt(known, targets, car.minutes)
        if doubt is None:
            return known, number
        truth = car.closure([doubt.thing])
        known = with_answer(known, doubt, [one for one in doubt.candidates if one in truth])
    return known, MOST_QUESTIONS


def main() -> None:
    """Print the table."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--quick", action="store_true", help="fewer cars")
    words.add_argument("--seed", type=int, default=1)
    quick = words.parse_args()
    begun = perf_counter()
    print("| things on the car | cars | plans | optimal | too much | invalid, said so | silently invalid |", end="")
    print(" questions a plan | order alone: optimal, invalid | marks alone: optimal, invalid |")
    print("|---|---|---|---|---|---|---|---|---|---|")
    for size in (20, 40, 80):
        _row(size, 10 if quick.quick else 60, quick.seed)
    print(f"\n{perf_counter() - begun:.0f} s in all.")


def _row(size: int, cars: int, seed: int) -> None:
    counted = dict.fromkeys(("plans", "optimal", "more", "said", "silent", "questions"), 0)
    alone = {"order": [0, 0], "marks": [0, 0]}
    for number in range(cars):
        random = Random(f"{seed}-{size}-{number}")
        car = made_car(random, size)
        jobs = [recorded(made_job(car, random, n)) for n in range(JOBS)]
        known = learned(jobs)
        pairs = [random.sample(known.things, 2) for _ in range(size // 2) if len(known.things) > 1]
        for targets in [*([one] for one in known.things), *pairs]:
            _count(known, car, targets, counted)
            for name, needs in (("order", _order_alone(known)), ("marks", _marks_alone(known))):
                truth, got = car.closure(targets), needs.closure(targets)
                alone[name][0] += set(got) == truth
                alone[name][1] += not truth <= set(got)
    plans = counted["plans"]
    shares = " | ".join(f"{100 * counted[one] / plans:.2f} %" for one in ("optimal", "more", "said"))
    beside = " | ".join(f"{100 * good / plans:.1f} %, {bad}" for good, bad in alone.values())
    questions = counted["questions"] / plans
    print(f"| {size} | {cars} | {plans} | {shares} | {counted['silent']} | {questions:.2f} | {beside} |", flush=True)


def _order_alone(known: Learned) -> MadeCar:
    """What no job speaks against."""
    needs = {thing: [one.first for one in links if not one.against] for thing, links in known.links.items()}
    return _simple({thing: needs.get(thing, []) for thing in known.things})


def _marks_alone(known: Learned) -> MadeCar:
    """What was marked."""
    return _simple({thing: list(known.needs(thing, sure=True)) for thing in known.things})


def _simple(needs: dict[str, list[str]]) -> MadeCar:
    return MadeCar(needs={thing: tuple(firsts) for thing, firsts in needs.items()}, minutes={})


def _count(known: Learned, car: MadeCar, targets: Sequence[str], counted: dict[str, int]) -> None:
    """Plan once, compare with the truth, add to the counts."""
    after, questions = asked(known, car, targets)
    got, truth = set(after.closure(targets)), car.closure(targets)
    counted["plans"] += 1
    counted["questions"] += questions
    counted["optimal"] += got == truth
    counted["more"] += got > truth
    if not truth <= got:
        counted["silent" if any(_is_silent(after, car, got, thing) for thing in truth - got) else "said"] += 1


def _is_silent(known: Learned, car: MadeCar, got: set[str], missing: str) -> bool:
    """Whether nothing that is said of the plan points at what it lacks."""
    if any(one.first == missing and one.thing in got for one in (*known.set_aside, *known.circles)):
        return False
    return not any(missing in car.closure([thing]) and thing in known.thin for thing in got)


if __name__ == "__main__":
    main()
