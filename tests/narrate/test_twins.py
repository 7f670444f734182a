"""Twins: by name, count and order. The lines are invented; the texts with labels are in `texts` and `held_out`."""

from typing import Any

import pytest

from putback.core.operations import Verb
from putback.narrate.lines.aliases import Aliases
from putback.narrate.lines.said import Said
from putback.narrate.lines.twins import CLOSE, links, with_twins


def lines(*rows: tuple[Verb, str] | tuple[Verb, str, dict[str, Any]]) -> list[Said]:
    """Lines numbered from 1."""
    found = []
    for n, (verb, thing, *more) in enumerate(rows, start=1):
        fields: dict[str, Any] = more[0] if more else {}
        found.append(Said(n=n, verb=verb, object=thing, start=0, end=0, **fields))
    return found


def twin_of_last(said: list[Said]) -> int | None:
    """The twin of the last line."""
    return with_twins(said, links(said))[-1].twin


def test_what_came_off_last_goes_back_first() -> None:
    said = lines((Verb.REMOVE, "cover"), (Verb.REMOVE, "cover"), (Verb.FIT, "cover"), (Verb.FIT, "cover"))
    assert [one.twin for one in with_twins(said, links(said))] == [None, None, 2, 1]


def test_start_and_tighten_both_undo_the_same_line() -> None:
    said = lines(
        (Verb.UNDO, "fan bolts", {"count": 4, "kind": "bolt"}),
        (Verb.START, "bolts", {"count": 4, "kind": "bolt"}),
        (Verb.TIGHTEN, "bolts"),
    )
    assert [one.twin for one in with_twins(said, links(said))] == [None, 1, 1]


def test_tightening_after_an_isolation_belongs_to_it() -> None:
    said = lines((Verb.ISOLATE, "negative cable"), (Verb.RESTORE, "negative cable"), (Verb.TIGHTEN, "negative cable"))
    assert twin_of_last(said) == 1


def test_the_count_decides_between_two_of_one_name() -> None:
    said = lines(
        (Verb.UNDO, "cover screws", {"count": 3, "kind": "screw"}),
        (Verb.UNDO, "tray screws", {"count": 9, "kind": "screw"}),
        (Verb.START, "screws", {"count": 3, "kind": "screw"}),
    )
    assert twin_of_last(said) == 1


@pytest.mark.parametrize(("off", "back"), [("left trim", "right trim"), ("front clip", "rear clip")])
def test_the_other_side_is_no_twin(off: str, back: str) -> None:
    assert twin_of_last(lines((Verb.REMOVE, off), (Verb.FIT, back))) is None


def test_different_names_are_not_linked_unless_an_alias_says_so() -> None:
    said = lines((Verb.REMOVE, "beauty cover"), (Verb.FIT, "engine lid"))
    assert links(said) == ()
    aliases = Aliases({"engine lid": "beauty cover"})
    assert [link.way_in for link in links(said, aliases)] == [1]


def test_a_lone_isolation_is_linked_and_known_to_be_a_guess() -> None:
    (link,) = links(lines((Verb.ISOLATE, "negative cable"), (Verb.RESTORE, "battery")))
    assert link.way_in == 1
    assert not link.shares_a_word


def test_a_close_rival_is_named() -> None:
    said = lines((Verb.UNPLUG, "upper sensor"), (Verb.UNPLUG, "knock sensor"), (Verb.PLUG_IN, "sensor"))
    (link,) = links(said)
    assert link.rival == 1
    assert link.margin is not None
    assert link.margin < CLOSE


def test_both_wheels_undo_the_left_one_and_the_right_one() -> None:
    said = lines(
        (Verb.UNDO, "left wheel nuts", {"count": 5, "kind": "nut"}),
        (Verb.REMOVE, "left wheel"),
        (Verb.UNDO, "right wheel nuts", {"count": 5, "kind": "nut"}),
        (Verb.REMOVE, "right wheel"),
        (Verb.FIT, "wheels", {"count": 2}),
        (Verb.START, "wheel nuts", {"count": 10, "kind": "nut"}),
        (Verb.TIGHTEN, "wheel nuts"),
    )
    assert [(link.way_in, link.also) for link in links(said)] == [(4, (2,)), (3, (1,)), (3, (1,))]
    assert [(one.twin, one.also) for one in with_twins(said, links(said))[4:]] == [(4, (2,)), (3, (1,)), (3, (1,))]


def test_what_was_repeated_on_the_other_side_is_found_by_its_name() -> None:
    said = lines(
        (Verb.UNDO, "tray nut (other side)", {"count": 1, "kind": "nut"}),
        (Verb.UNDO, "rod nut (other side)"),
        (Verb.START, "rod nut (other side)", {"kind": "nut"}),
    )
    assert twin_of_last(said) == 2


@pytest.mark.parametrize(("count", "undone"), [(4, (2, (1,))), (2, (2, ())), (5, (2, ()))])
def test_as_many_as_both_ends_together_undo_both(count: int, undone: tuple[int, tuple[int, ...]]) -> None:
    said = lines(
        (Verb.REMOVE, "front rubbers", {"count": 2}),
        (Verb.REMOVE, "rear rubbers", {"count": 2}),
        (Verb.FIT, "rubbers", {"count": count}),
    )
    last = with_twins(said, links(said))[-1]
    assert (last.twin, last.also) == undone


def test_what_was_run_in_together_is_tight_together() -> None:
    said = lines(
        (Verb.UNDO, "left corner screw", {"count": 1, "kind": "screw"}),
        (Verb.UNDO, "right corner screw", {"count": 1, "kind": "screw"}),
        (Verb.START, "corner screws", {"count": 2, "kind": "screw"}),
        (Verb.TIGHTEN, "corner screw"),
    )
    assert [(one.twin, one.also) for one in with_twins(said, links(said))][2:] == [(2, (1,)), (2, (1,))]


def test_one_screw_undoes_one_side_only() -> None:
    said = lines(
        (Verb.UNDO, "left hook screw", {"count": 1, "kind": "screw"}),
        (Verb.UNDO, "right hook screw", {"count": 1, "kind": "screw"}),
        (Verb.START, "hook screw", {"kind": "screw"}),
    )
    last = with_twins(said, links(said))[-1]
    assert (last.twin, last.also) == (2, ())


def test_what_was_only_slackened_is_not_run_in_where_the_same_came_off() -> None:
    said = lines(
        (Verb.UNDO, "wheel nuts", {"count": 5, "kind": "nut", "slackened": True}),
        (Verb.UNDO, "wheel nuts", {"kind": "nut"}),
        (Verb.START, "wheel nuts", {"count": 5, "kind": "nut"}),
    )
    assert twin_of_last(said) == 2


def test_a_plug_run_in_does_not_undo_an_isolation_called_plug() -> None:
    assert twin_of_last(lines((Verb.ISOLATE, "service plug"), (Verb.START, "drain plug"))) is None
    assert twin_of_last(lines((Verb.ISOLATE, "service plug"), (Verb.PLUG_IN, "service plug"))) == 1


def test_what_was_pulled_out_and_put_aside_is_fitted_once() -> None:
    said = lines((Verb.REMOVE, "speed sensor"), (Verb.SWING_ASIDE, "speed sensor"), (Verb.FIT, "speed sensor"))
    last = with_twins(said, links(said))[-1]
    assert (last.twin, last.also) == (1, (2,))


def test_one_wheel_undoes_one_side_only() -> None:
    said = lines((Verb.REMOVE, "left wheel"), (Verb.REMOVE, "right wheel"), (Verb.FIT, "wheel"))
    assert [(link.way_in, link.also) for link in links(said)] == [(2, ())]


def test_a_lift_said_in_other_words_is_lowered_however_long_the_job() -> None:
    middle = [(Verb.INSPECT, f"part {n}") for n in range(60)]
    said = lines((Verb.RAISE, "vehicle"), *middle, (Verb.LOWER, "car"))
    (link,) = links(said)
    assert (link.way_in, link.shares_a_word) == (1, False)


def test_what_went_in_two_goes_goes_back_in_one() -> None:
    said = lines(
        (Verb.UNDO, "lower fan screws", {"count": 2, "kind": "screw"}),
        (Verb.UNDO, "rear fan screw", {"count": 1, "kind": "screw"}),
        (Verb.START, "fan screws", {"count": 3, "kind": "screw"}),
    )
    (link,) = links(said)
    assert {link.way_in, *link.also} == {1, 2}


def test_what_came_off_in_one_goes_back_in_two_goes() -> None:
    said = lines(
        (Verb.UNDO, "partition bolts", {"count": 7, "kind": "bolt"}),
        (Verb.START, "partition bolts", {"count": 2, "kind": "bolt"}),
        (Verb.START, "bolts", {"count": 4, "kind": "bolt"}),
    )
    assert [link.way_in for link in links(said)] == [1, 1]


def test_a_name_of_two_undoes_both() -> None:
    both = "motor harness and sensor lead"
    said = lines((Verb.UNPLUG, "motor harness"), (Verb.UNPLUG, "sensor lead"), (Verb.PLUG_IN, both))
    (link,) = links(said)
    assert {link.way_in, *link.also} == {1, 2}


def test_a_subframe_is_let_down_first_and_a_car_is_raised_first() -> None:
    said = lines((Verb.RAISE, "car"), (Verb.LOWER, "subframe"), (Verb.RAISE, "subframe"), (Verb.LOWER, "car"))
    assert [(link.back, link.way_in) for link in links(said)] == [(3, 2), (4, 1)]


def test_the_nut_of_the_earth_lead_is_of_the_isolation() -> None:
    assert twin_of_last(lines((Verb.ISOLATE, "earth lead"), (Verb.TIGHTEN, "earth lead nut"))) == 1
    assert twin_of_last(lines((Verb.ISOLATE, "earth lead"), (Verb.TIGHTEN, "nut"))) is None


def test_what_was_dropped_inside_and_came_out_later_is_fitted_once() -> None:
    said = lines((Verb.SWING_ASIDE, "latch"), (Verb.UNPLUG, "horn"), (Verb.REMOVE, "latch"), (Verb.FIT, "latch"))
    last = with_twins(said, links(said))[-1]
    assert (last.twin, last.also) == (3, (1,))
