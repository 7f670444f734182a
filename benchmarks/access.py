"""One idea: how fast the least work is proved on made-up cars, beside a plain CP-SAT model of the same, in one run.

    python -m benchmarks.access [--quick]

Ours is timed whole, from the question to the answer; of CP-SAT only the solving counts, not the building of its
model. Both have one core. "Whole car": CP-SAT is given all of the car; "reach": only what the targets can lead to.
Each answer is checked, and where both are through the minutes must be the same. A busy machine makes times larger,
so compare within a run.
"""

import sys
import time
from dataclasses import dataclass
from random import Random
from statistics import median

from benchmarks.cars import Car, made_car
from benchmarks.plain_model import Plain, plain_least
from putback.plan.access import AccessAnswer, Closures, solve, verify


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """One row of the table; `compared`: how many of the questions CP-SAT is asked too."""

    name: str
    nodes: int
    with_ways: float
    most_ways: int
    targets: int
    questions: int
    compared: int
    cars: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """One question: our seconds and answer, and CP-SAT's, if it was asked, on the whole car and on the reach."""

    seconds: float
    answer: AccessAnswer
    whole: Plain | None
    reach: Plain | None


SETTINGS = (
    Setting(name="one target", nodes=5000, with_ways=0.2, most_ways=2, targets=1, questions=300, compared=15, cars=3),
    Setting(name="five targets", nodes=5000, with_ways=0.2, most_ways=2, targets=5, questions=200, compared=6, cars=2),
    Setting(name="twenty targets", nodes=5000, with_ways=0.2, most_ways=2, targets=20, questions=60, compared=4),
    Setting(name="denser ways", nodes=5000, with_ways=0.3, most_ways=3, targets=1, questions=100, compared=4),
    Setting(name="denser, five targets", nodes=5000, with_ways=0.3, most_ways=3, targets=5, questions=60, compared=3),
    Setting(
        name="half the items, three ways", nodes=5000, with_ways=0.5, most_ways=3, targets=1, questions=20, compared=3
    ),
    Setting(name="small car", nodes=300, with_ways=0.2, most_ways=2, targets=2, questions=200, compared=20),
)


def measured(setting: Setting, *, share: float, limit_s: float) -> list[Asked]:
    """Ask one setting; `share` of its questions."""
    asked: list[Asked] = []
    for seed in range(1, setting.cars + 1):
        car = made_car(nodes=setting.nodes, seed=seed, with_ways=setting.with_ways, most_ways=setting.most_ways)
        random = Random(seed)
        compared = max(1, round(setting.compared * share / setting.cars))
        asked.extend(
            _asked(car, car.targets(random, setting.targets), compare=at < compared, limit_s=limit_s)
            for at in range(max(3, round(setting.questions * share / setting.cars)))
        )
    return asked


def _asked(car: Car, targets: tuple[int, ...], *, compare: bool, limit_s: float) -> Asked:
    started = time.perf_counter()
    answer = solve(car.problem, targets, time_limit_s=20)
    seconds = time.perf_counter() - started
    if not isinstance(answer, AccessAnswer):
        raise AssertionError("a made-up car has a target that cannot be reached")
    if faults := verify(car.problem, targets, answer):
        raise AssertionError(faults)
    whole = plain_least(car.problem, targets, limit_s=limit_s) if compare else None
    reach = plain_least(car.problem, targets, limit_s=limit_s, only_reach=True) if compare else None
    for plain in (whole, reach):
        if plain is not None and plain.proved and answer.proved and abs((plain.minutes or 0) - answer.minutes) > 1e-6:
            raise AssertionError(f"CP-SAT has {plain.minutes}, ours {answer.minutes} for {targets}")
    return Asked(seconds=seconds, answer=answer, whole=whole, reach=reach)


def line(setting: Setting, asked: list[Asked]) -> str:
    """A row in markdown."""
    ordered = sorted(one.seconds for one in asked)
    work = [len(one.answer.work) for one in asked]
    proved = sum(one.answer.proved and one.seconds <= 1 for one in asked)
    cells = [
        setting.name,
        str(setting.nodes),
        f"{setting.with_ways:.0%}, {setting.most_ways}",
        f"{len(ordered)} on {setting.cars}",
        f"{median(work):.0f} (to {max(work)})",
        f"{proved / len(ordered):.1%}",
        f"{median(ordered) * 1e3:.1f}",
        f"{ordered[int(0.99 * (len(ordered) - 1))] * 1e3:.1f}",
        *_beside([(one.seconds, one.whole) for one in asked if one.whole is not None]),
        *_beside([(one.seconds, one.reach) for one in asked if one.reach is not None]),
    ]
    return "| " + " | ".join(cells) + " |"


def _beside(pairs: list[tuple[float, Plain]]) -> list[str]:
    """CP-SAT's median, the median of the ratios, and how often it was through within its limit."""
    through = sum(plain.proved for _, plain in pairs)
    at_least = "" if through == len(pairs) else "≥ "
    return [
        f"{median(plain.seconds for _, plain in pairs) * 1e3:.0f}",
        f"{at_least}{median(plain.seconds / seconds for seconds, plain in pairs):.0f} ×",
        f"{through} of {len(pairs)}",
    ]


HEAD = (
    "| questions | nodes | items with ways, most | asked, cars | items in the work | proved in 1 s "
    "| ours, median [ms] | 99 % [ms] "
    "| CP-SAT, whole car [ms] | ratio | proved | CP-SAT, reach [ms] | ratio | proved |\n"
    "|---|---|---|---|---|---|---|---|---|---|---|---|---|---|"
)


def without_ways(*, repeats: int) -> str:
    """300 targets on a car without ways, all at once, and one target again; medians."""
    car = made_car(nodes=5000, seed=3, with_ways=0.0)
    random = Random(3)
    lists = [car.targets(random, 1) for _ in range(300)]
    prepare, many, single = [], [], []
    for _ in range(repeats):
        started = time.perf_counter()
        closures = Closures(car.problem)
        prepared = time.perf_counter()
        table = closures.many(lists)
        assert len(table.minutes) == 300
        done = time.perf_counter()
        prepare.append(prepared - started)
        many.append(done - prepared)
        for targets in lists[:20]:
            started = time.perf_counter()
            closures.work(targets)
            single.append(time.perf_counter() - started)
    return (
        f"Without ways, 5,000 nodes: making ready {median(prepare) * 1e3:.1f} ms, then 300 targets with minutes "
        f"{median(many) * 1e3:.1f} ms, one target again {median(single) * 1e3:.2f} ms "
        f"(largest {max(single) * 1e3:.2f})."
    )


def main(arguments: list[str]) -> None:
    """Print the table."""
    share, limit_s = (0.1, 2.0) if "--quick" in arguments else (1.0, 10.0)
    print(f"CP-SAT stops after {limit_s:.0f} s; a ratio with ≥ counts that limit where it was not through.\n")
    print(HEAD)
    for setting in SETTINGS:
        print(line(setting, measured(setting, share=share, limit_s=limit_s)), flush=True)
    print()
    print(without_ways(repeats=5 if "--quick" in arguments else 30))


if __name__ == "__main__":
    main(sys.argv[1:])
