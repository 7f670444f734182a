"""What recordings teach: small cases by hand, and invented cars whose truth is known (more in benchmarks/learn.py)."""

from collections.abc import Sequence
from dataclasses import replace
from random import Random

import pytest

from benchmarks.learn import JOBS, asked, made_car, made_job
from putback.core.car import Origin
from putback.core.operations import Verb
from putback.core.procedure import Line, Procedure
from putback.narrate.car.learn import Learned, learned, next_doubt, recorded, reduced, with_answer


def job(name: str, off: Sequence[str], back: Sequence[str], marks: Sequence[tuple[str, str]] = ()) -> Procedure:
    """A recording: things in the order in which they came off and went back."""
    lines = [Line(n=n, verb=Verb.REMOVE, object=thing) for n, thing in enumerate(off, start=1)]
    numbers = {line.object: line.n for line in lines}
    for thing, first in marks:
        n = numbers[thing]
        lines[n - 1] = Line(n=n, verb=Verb.REMOVE, object=thing, first=(numbers[first],))
    for thing in back:
        lines.append(Line(n=len(lines) + 1, verb=Verb.FIT, object=thing, twin=numbers.get(thing)))
    return Procedure(car="invented", file=name, lines=tuple(lines))


def known(*jobs: Procedure) -> Learned:
    """What these jobs teach."""
    return learned([recorded(one) for one in jobs])


def test_one_job() -> None:
    """Off before and back after: seen in one job; the rest is not a link."""
    one = known(job("a", ["cover", "fan", "pump"], ["pump", "cover", "fan"]))
    assert set(one.needs("pump")) == {"cover", "fan"}
    assert one.needs("fan") == ()  # the cover went back before the fan did: it is not in its way
    assert {link.origin for link in one.links["pump"]} == {Origin.SEEN}
    assert one.thin == {"cover", "fan", "pump"}


def test_one_job_against_drops_nothing() -> None:
    """A single job that speaks against a link leaves it, assumed and shown; a second one sets it aside, shown."""
    for_it = job("a", ["cover", "pump"], ["pump", "cover"])
    against = [job(name, ["pump"], ["pump"]) for name in ("b", "c")]
    once, twice = known(for_it, against[0]), known(for_it, *against)
    assert [(one.first, one.origin, one.against) for one in once.contradictions] == [("cover", Origin.ASSUMED, ("b",))]
    assert twice.needs("pump") == ()
    assert [(one.first, one.against) for one in twice.set_aside] == [("cover", ("b", "c"))]


def test_a_mark_holds_whatever_the_order_says() -> None:
    """Marked once, contradicted by many: kept, confirmed, and shown."""
    marked = job("a", ["cover", "pump"], ["pump", "cover"], [("pump", "cover")])
    one = known(marked, *(job(f"{n}", ["pump"], ["pump"]) for n in range(9)))
    assert one.needs("pump", sure=True) == ("cover",)
    assert len(one.contradictions[0].against) == 9


def test_a_step_that_nobody_logged_proves_nothing() -> None:
    """The cover's removal was not logged, its fitting was: the order on the way back alone speaks."""
    one = known(job("a", ["cover", "pump"], ["pump", "cover"]), job("b", ["pump"], ["pump", "cover"]))
    assert one.links["pump"][0].seen == ("a", "b")
    assert one.set_aside == one.contradictions == ()


def test_two_marks_against_each_other() -> None:
    """A circle cannot be kept: one of the two goes, and is shown."""
    one = known(
        job("a", ["cover", "pump"], ["pump", "cover"], [("pump", "cover")]),
        job("b", ["pump", "cover"], ["cover", "pump"], [("cover", "pump")]),
    )
    assert len(one.circles) == 1
    assert sum(map(len, one.links.values())) == 1


def test_a_circle_over_three_jobs() -> None:
    """Each job marks one link of a ring of three; the least sure goes, everything behind the ring stays."""
    ring = [("a", "b"), ("b", "c"), ("c", "a")]
    jobs = [
        job(f"{number}", [first, thing, "deep"], ["deep", thing, first], [(thing, first), ("deep", thing)])
        for number, (thing, first) in enumerate(ring)
    ]
    one = known(*jobs, replace(jobs[0], file="again"))
    assert [(link.thing, link.first) for link in one.circles][:1] in ([("c", "a")], [("b", "c")])
    assert "b" in one.needs("a", sure=True)
    assert set(one.needs("deep", sure=True)) == {"a", "b", "c"}


def test_answers() -> None:
    """What is ticked is confirmed, what is not ticked goes, and then nothing is asked."""
    one = known(job("a", ["cover", "fan", "hose", "pump"], ["pump", "hose", "fan", "cover"]))
    doubt = next_doubt(one, ["pump"], {})
    assert doubt is not None
    assert set(doubt.candidates) == {"cover", "fan", "hose"}
    after = with_answer(one, doubt, ["hose"])
    assert list(after.closure(["pump"])) == ["pump", "hose"]
    assert next_doubt(after, ["pump"], {}) is None


def test_an_answer_does_not_undo_a_mark() -> None:
    """The mark says it, the person denies it: the link stays."""
    marks = [("hose", "fan")]
    one = known(job("a", ["cover", "fan", "hose", "pump"], ["pump", "hose", "fan", "cover"], marks))
    doubt = next_doubt(one, ["pump"], {})
    assert doubt is not None
    assert "fan" in with_answer(one, doubt, ["hose"]).closure(["pump"])


def test_reduced_means_the_same() -> None:
    """Fewer links, the same closure."""
    one = known(job("a", ["cover", "fan", "pump"], ["pump", "fan", "cover"]))
    assert [link.first for link in reduced(one)["pump"]] == ["fan"]


def test_alias_and_twin_name_the_thing() -> None:
    """Two names of one thing are one thing; the way back has the name of its twin."""
    lines = (
        Line(n=1, verb=Verb.REMOVE, object="bottle"),
        Line(n=2, verb=Verb.REMOVE, object="pump"),
        Line(n=3, verb=Verb.FIT, object="pump", twin=2),
        Line(n=4, verb=Verb.FIT, object="tank thing", twin=1),
    )
    one = recorded(Procedure(car="a", file="f", aliases={"bottle": "header tank"}, lines=lines))
    assert set(one.off) == set(one.back) == {"header tank", "pump"}


@pytest.mark.parametrize("seed", range(6))
def test_made_cars(seed: int) -> None:
    """Twenty jobs on an invented car: every plan has all that the true car asks for, or says what it rests on."""
    random = Random(seed)
    car = made_car(random, 30)
    one = learned([recorded(made_job(car, random, n)) for n in range(JOBS)])
    optimal = 0
    for thing in one.things:
        after, questions = asked(one, car, [thing])
        got, truth = set(after.closure([thing])), car.closure([thing])
        optimal += got == truth
        assert questions <= 3
        said = {link.first for link in (*after.set_aside, *after.circles)}
        assert truth - got <= said or one.thin & got
        kept = {first for links in reduced(one).values() for link in links for first in [link.first]}
        assert kept <= set(one.things)
    assert optimal >= 0.9 * len(one.things)


def test_one_line_puts_two_things_back() -> None:
    """ "Both back on": each of its twins went back there."""
    lines = (
        Line(n=1, verb=Verb.REMOVE, object="left lid"),
        Line(n=2, verb=Verb.REMOVE, object="right lid"),
        Line(n=3, verb=Verb.REMOVE, object="fan"),
        Line(n=4, verb=Verb.FIT, object="fan", twin=3),
        Line(n=5, verb=Verb.FIT, object="lids", twin=1, also=(2,)),
    )
    one = recorded(Procedure(car="invented", file="a", lines=lines))
    assert dict(one.back) == {"fan": 3, "left lid": 4, "right lid": 4}
    assert set(learned([one]).needs("fan")) == {"left lid", "right lid"}


def test_a_renewal_is_marked_too() -> None:
    """A filter that is renewed, with the cover that had to come off first."""
    lines = (
        Line(n=1, verb=Verb.REMOVE, object="cover"),
        Line(n=2, verb=Verb.RENEW, object="filter", first=(1,)),
        Line(n=3, verb=Verb.FIT, object="cover", twin=1),
    )
    assert learned([recorded(Procedure(car="invented", file="a", lines=lines))]).needs("filter", sure=True) == (
        "cover",
    )
