"""Beliefs of a noisy-OR net against brute force and against a library of such nets."""

import math
from itertools import product
from random import Random

import pytest

from putback.core.codes.causes.likely import MOST_SIGNS_TOGETHER, Net, Sign, beliefs, log_joint

FIXTURE = Net(
    priors={0: 0.05, 1: 0.10, 2: 0.20, 3: 0.02},
    signs=(
        Sign(shows={0: 0.9, 1: 0.5, 3: 0.6}, leak=0.01, seen=True),
        Sign(shows={1: 0.8, 2: 0.3}, leak=0.02, seen=False),
        Sign(shows={2: 0.7, 3: 0.95}, leak=0.005, seen=None),
    ),
)


def test_against_a_library() -> None:
    """Posteriors that pgmpy gave for this net, six digits (run on 2026-11-25, and brute force agreed)."""
    found = beliefs(FIXTURE)
    printed = {0: 0.593864, 1: 0.152347, 2: 0.148936, 3: 0.164613}
    assert {cause: round(chance, 6) for cause, chance in found.causes.items()} == printed


def brute_force(net: Net[int]) -> tuple[dict[int, float], float, float]:
    """Chance of each cause, of none, and of what was seen: the sum over every set of causes, from the definition."""
    total, none = 0.0, 0.0
    each = dict.fromkeys(net.priors, 0.0)
    for there in product((False, True), repeat=len(net.priors)):
        on = dict(zip(net.priors, there, strict=True))
        weight = math.prod(prior if on[cause] else 1 - prior for cause, prior in net.priors.items())
        for sign in net.signs:
            quiet = (1 - sign.leak) * math.prod(1 - chance for cause, chance in sign.shows.items() if on[cause])
            weight *= 1.0 if sign.seen is None else 1 - quiet if sign.seen else quiet
        total += weight
        none += 0.0 if any(there) else weight
        for cause in each:
            each[cause] += weight if on[cause] else 0.0
    return {cause: weight / total for cause, weight in each.items()}, none / total, total


def random_net(random: Random) -> Net[int]:
    causes = range(random.randint(1, 8))
    signs = []
    for _ in range(random.randint(0, 7)):
        of = random.sample(causes, random.randint(0, min(3, len(causes))))
        shows = {cause: random.choice([0.0, 0.2, 0.5, 0.9, 1.0, random.random()]) for cause in of}
        seen = random.choice([True, True, False, None])
        signs.append(Sign(shows=shows, leak=random.uniform(1e-6, 0.1), seen=seen))
    return Net(priors={cause: random.uniform(0.001, 0.4) for cause in causes}, signs=tuple(signs))


def test_400_random_nets_against_brute_force() -> None:
    random = Random(11)
    done = 0
    while done < 400:
        net = random_net(random)
        each, none, total = brute_force(net)
        found = beliefs(net)
        assert found.causes == pytest.approx(each, rel=1e-9, abs=1e-12)
        assert found.none == pytest.approx(none, rel=1e-9)
        assert found.log_evidence == pytest.approx(math.log(total), rel=1e-9, abs=1e-12)
        assert not found.approximate
        done += 1


def test_the_joint_chances_of_all_sets_sum_to_the_evidence() -> None:
    sets = [[n for n in range(4) if bits >> n & 1] for bits in range(16)]
    summed = math.fsum(math.exp(log_joint(FIXTURE, one)) for one in sets)
    assert summed == pytest.approx(math.exp(beliefs(FIXTURE).log_evidence), rel=1e-12)


def test_a_sign_tested_and_not_there_exonerates() -> None:
    def chance(seen: bool | None) -> float:
        signs = (
            Sign(shows={"a": 0.8, "b": 0.8}, leak=0.001, seen=True),
            Sign(shows={"a": 0.8}, leak=0.001, seen=seen),
        )
        return beliefs(Net(priors={"a": 0.02, "b": 0.02}, signs=signs)).causes["a"]

    assert chance(False) < chance(None) < chance(True)


def test_many_signs_of_one_cause_are_grouped_and_said_to_be_approximate() -> None:
    signs = tuple(Sign(shows={"a": 0.8}, leak=0.002, seen=True) for _ in range(MOST_SIGNS_TOGETHER + 6))
    found = beliefs(Net(priors={"a": 0.02, "b": 0.02}, signs=signs))
    assert found.approximate
    assert found.causes["a"] > 0.999
    assert found.causes["b"] == pytest.approx(0.02)


@pytest.mark.parametrize(
    "net",
    [
        Net(priors={"a": 0.0}, signs=()),
        Net(priors={"a": 0.1}, signs=(Sign(shows={"a": 0.5}, leak=0.0, seen=True),)),
        Net(priors={"a": 0.1}, signs=(Sign(shows={"a": 1.5}, leak=0.1, seen=True),)),
        Net(priors={"a": 0.1}, signs=(Sign(shows={"b": 0.5}, leak=0.1, seen=True),)),
    ],
)
def test_impossible_figures_are_refused(net: Net[str]) -> None:
    with pytest.raises(ValueError, match=r"must be|without a prior"):
        beliefs(net)
