"""Which joint is this bolt from? Judged on small made-up cars; the rules are common practice, no source."""

from collections.abc import Iterator

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.small import Hands, Part, item, joint, small_car
from putback.core.car import Car
from putback.core.fasten.answer import NotComputable
from putback.core.fasten.designation import Designation, read_designation
from putback.core.fasten.leftover import (
    KEEP,
    LOOK,
    TRAP,
    Leftover,
    Ranking,
    RuledOut,
    Standing,
    joints_it_may_be_from,
)
from putback.core.fasten.put_back import tallies
from putback.core.operations import Operation


def car() -> Car:
    """Two covers with M6 bolts of two lengths, a pump with M8, a pipe with one-time M8, a hose with a clip."""
    return small_car(
        item("cover", (), joint("c1", 4, "M6x20"), joint("c2", 2, "M6x35")),
        item("pump", (), joint("p1", 3, "M8x40")),
        item("pipe", (), joint("o1", 2, "M8x40", one_time=True)),
        item("hose", (), joint("h1", 1, None, None, kind="clip")),
        item("lamp", (), joint("l1", 2, "M6x20")),
        item("mount", (), joint("n1", 3, "M8", kind="nut")),
    )


HANDS = Hands(car())


def did(*parts: Part) -> list[Operation]:
    def flat(part: Part) -> Iterator[Operation]:
        if isinstance(part, Operation):
            yield part
        else:
            for one in part:
                yield from flat(one)

    return [one for part in parts for one in flat(part)]


def m(text: str) -> Designation:
    said = read_designation(text)
    assert isinstance(said, Designation)
    return said


def rank(found: Leftover, *parts: Part, planned: tuple[str, ...] = ()) -> Ranking:
    return joints_it_may_be_from(found=found, car=HANDS.car, operations=did(*parts), planned=planned)


def ids(ranking: Ranking) -> list[str]:
    return [one.joint.id for one in ranking.candidates]


def out_of(ranking: Ranking, id: str) -> RuledOut:
    return next(one for one in ranking.ruled_out if one.joint.id == id)


COVER_AND_LAMP = (HANDS.out("cover"), HANDS.out("lamp"))
M6X20 = Leftover(thread=m("M6"), length_mm=20, drive="hex10", count=1)


def test_the_joint_that_the_record_is_short_of_comes_first() -> None:
    """The lamp was tightened with one bolt fewer than came out."""
    back = (HANDS.home("cover"), HANDS.back("lamp"), HANDS.tighten("l1", count=1))
    ranking = rank(M6X20, *COVER_AND_LAMP, *back)
    assert ids(ranking) == ["l1", "c1"]
    first, second = ranking.candidates
    assert first.standing is Standing.SHORT
    assert first.agrees == ("thread", "length", "drive", "count")
    assert first.short == 1
    assert first.missing == ()
    assert second.standing is Standing.CLOSED
    assert second.missing == ("the record has all of them back; look whether each is in its hole",)
    assert LOOK in ranking.warnings


def test_an_open_joint_comes_before_a_closed_one() -> None:
    ranking = rank(M6X20, *COVER_AND_LAMP, HANDS.home("cover"))
    assert [(one.joint.id, one.standing) for one in ranking.candidates] == [
        ("l1", Standing.OPEN),
        ("c1", Standing.CLOSED),
    ]
    assert any("1 are left over and 2 are out" in text for text in ranking.candidates[0].missing)


def test_what_is_ruled_out_says_why() -> None:
    ranking = rank(M6X20, *COVER_AND_LAMP, HANDS.out("pump"), HANDS.out("hose"))
    assert out_of(ranking, "c2").why == ("its length is 35 mm, this one has 20 mm",)
    assert out_of(ranking, "p1").why == ("its thread is M8x40", "its length is 40 mm, this one has 20 mm")
    assert "clip" in out_of(ranking, "h1").why[0]
    assert out_of(ranking, "n1").why[0] == "it was not undone in this job"
    assert {*ids(ranking), *(one.joint.id for one in ranking.ruled_out)} == {one.id for one in HANDS.car.joints()}


def test_the_length_trap_is_told_where_the_fastener_would_fit() -> None:
    ranking = rank(M6X20, *COVER_AND_LAMP, HANDS.out("pump"))
    assert TRAP in out_of(ranking, "c2").warnings[0]
    assert not out_of(ranking, "p1").warnings


def test_without_a_length_the_trap_is_told_up_front() -> None:
    ranking = rank(Leftover(thread=m("M6")), *COVER_AND_LAMP)
    assert ids(ranking) == ["c1", "c2", "l1"]
    assert any("20 mm and 35 mm" in text for text in ranking.warnings)
    assert all(
        one.missing[:2]
        == ("its length is not known; measure it under the head", "its drive is not known; try which socket fits")
        for one in ranking.candidates
    )


def test_renewed_fasteners_leave_old_ones_over() -> None:
    work = (HANDS.out("pipe"), HANDS.renew("pipe", joint="o1", count=2), HANDS.home("pipe"))
    ranking = rank(Leftover(thread=m("M8x40"), count=2), *work, HANDS.out("pump"), HANDS.home("pump"))
    first, second = ranking.candidates
    assert (first.joint.id, first.standing, first.old) == ("o1", Standing.OLD, 2)
    assert "count" in first.agrees
    assert KEEP in first.warnings[0]
    assert (second.joint.id, second.old) == ("p1", 0)


def test_old_ones_are_still_expected_after_the_joint_is_undone_again() -> None:
    again = (HANDS.out("pipe"), HANDS.renew("pipe", joint="o1", count=2), HANDS.home("pipe"), HANDS.undo("o1"))
    (one,) = rank(Leftover(thread=m("M8x40"), count=4), *again).candidates
    assert (one.standing, one.old, one.short) == (Standing.OPEN, 2, 2)
    assert "count" in one.agrees


def test_an_item_that_brings_a_joints_new_fasteners_counts_as_renewal() -> None:
    own = small_car(item("pipe", (), joint("o1", 2, "M8x40")), item("bolts", (), renews_joint="o1"))
    hands = Hands(own)
    assert tallies(own, [hands.undo("o1"), Hands(own).renew("bolts", joint=None)])["o1"].renewed == 2


def test_more_left_over_than_the_joint_has_are_of_several() -> None:
    ranking = rank(Leftover(thread=m("M6x20"), count=5), *COVER_AND_LAMP)
    assert all("several joints" in one.warnings[0] for one in ranking.candidates)


def test_a_drive_that_does_not_fit_rules_out() -> None:
    ranking = rank(Leftover(thread=m("M6x20"), drive="T30"), *COVER_AND_LAMP)
    assert not ranking.candidates
    assert "its drive is hex10, this one has T30" in out_of(ranking, "c1").why
    assert ids(rank(Leftover(thread=m("M6x20"), drive="HEX 10"), *COVER_AND_LAMP)) == ["c1", "l1"]


def test_m8_and_its_coarse_pitch_are_one_thread_and_the_fine_pitch_is_not() -> None:
    """ISO 261: the coarse pitch of M8 is 1.25 mm."""
    assert ids(rank(Leftover(thread=m("M8x1.25x40")), HANDS.out("pump"))) == ["p1"]
    assert not ids(rank(Leftover(thread=m("M8x1x40")), HANDS.out("pump")))


def test_unified_threads_are_compared_without_their_series() -> None:
    own = small_car(item("bracket", (), joint("b1", 2, "1/4-20 UNC x 3/4")))
    found = Leftover(thread=m("1/4-20 UNC"), length_mm=19)
    ranking = joints_it_may_be_from(found=found, car=own)
    assert ranking.candidates[0].agrees == ("thread", "length")


def test_a_nut_has_no_length_to_ask_for_and_a_bolt_is_no_nut() -> None:
    (nut,) = (
        one
        for one in rank(Leftover(thread=m("M8"), kind="nut"), HANDS.out("mount")).candidates
        if one.joint.id == "n1"
    )
    assert not any("length" in text for text in nut.missing)
    assert "nuts" in out_of(rank(Leftover(thread=m("M8x40")), HANDS.out("mount")), "n1").why[0]
    assert "this is bolt" in out_of(rank(Leftover(kind="bolt"), HANDS.out("mount")), "n1").why[0]


def test_a_plan_without_a_record_asks_its_joints() -> None:
    ranking = rank(M6X20, planned=("l1", "p1"))
    assert [(one.joint.id, one.standing) for one in ranking.candidates] == [("l1", Standing.UNLOGGED)]
    assert "no undoing is logged" in ranking.candidates[0].missing[0]


def test_neither_record_nor_plan_asks_the_whole_car() -> None:
    assert ids(rank(M6X20)) == ["c1", "l1"]


def test_what_the_car_file_does_not_say_is_told() -> None:
    own = small_car(item("box", (), joint("b1", 2, None, None)), item("lid", (), joint("b2", 2, "M6")))
    box, lid = joints_it_may_be_from(found=Leftover(length_mm=20), car=own).candidates
    assert "the car file gives no thread for b1; look at its other fasteners" in box.missing
    assert "the car file gives no length for b2; look at its other fasteners" in lid.missing


def test_a_length_may_be_off_by_a_millimetre_and_no_more() -> None:
    assert ids(rank(Leftover(thread=m("M6"), length_mm=21), *COVER_AND_LAMP)) == ["c1", "l1"]
    assert not ids(rank(Leftover(thread=m("M6"), length_mm=21.5), *COVER_AND_LAMP))


def test_a_joint_undone_in_two_goes_counts_both() -> None:
    own = HANDS.car
    two_goes = [HANDS.undo("c1", count=1), HANDS.undo("c1", count=2)]
    assert tallies(own, two_goes)["c1"].short == 3
    assert tallies(own, [*two_goes, HANDS.start("c1", count=3)])["c1"].short == 0
    assert tallies(own, [*two_goes, HANDS.start("c1", count=3), HANDS.tighten("c1", count=2)])["c1"].short == 1


def test_a_shortage_is_not_forgotten_when_the_joint_is_undone_again() -> None:
    short = [HANDS.undo("c1"), HANDS.tighten("c1", count=3), HANDS.undo("c1", count=3)]
    assert tallies(HANDS.car, [*short, HANDS.tighten("c1", count=3)])["c1"].short == 1


def test_a_count_that_is_not_logged_is_the_whole_joint() -> None:
    assert tallies(HANDS.car, [HANDS.undo("c1", count=None)])["c1"].short == 4


@pytest.mark.parametrize(
    "found",
    [
        Leftover(),
        Leftover(length_mm=0),
        Leftover(length_mm=float("nan")),
        Leftover(count=0),
        Leftover(thread=m("M6x20"), length_mm=35),
    ],
)
def test_what_is_known_of_nothing_or_against_itself_is_refused(found: Leftover) -> None:
    with pytest.raises(NotComputable):
        rank(found)


@given(
    thread=st.sampled_from([None, "M6", "M8", "M10"]),
    length=st.sampled_from([None, 20.0, 35.0, 40.0]),
    drive=st.sampled_from([None, "hex10", "T30"]),
    count=st.sampled_from([None, 1, 2, 9]),
)
def test_more_evidence_never_brings_a_joint_in(
    thread: str | None, length: float | None, drive: str | None, count: int | None
) -> None:
    """Every joint is told once, and what is ruled out with less known stays ruled out with more."""
    known = Leftover(thread=m(thread) if thread else None, length_mm=length, drive=drive, count=count)
    if known == Leftover():
        return
    work = (HANDS.out("cover"), HANDS.out("pump"), HANDS.out("pipe"), HANDS.home("cover"))
    ranking = rank(known, *work)
    assert sorted(ids(ranking) + [one.joint.id for one in ranking.ruled_out]) == sorted(
        one.id for one in HANDS.car.joints()
    )
    agreeing = [len(one.agrees) for one in ranking.candidates]
    assert agreeing == sorted(agreeing, reverse=True)
    more = Leftover(thread=known.thread or m("M6"), length_mm=length or 20.0, drive=drive, count=count)
    assert set(ids(rank(more, *work))) <= set(ids(ranking))
