"""The torque card with the owner's wrenches: which does what at which setting, why none can, what is doubtful.

Ranges: 20 % of the top and up (ISO 6789:2003 as named in `core.fasten.wrench`). Lever law worked by hand beside each.
1 lbf·ft = 1.3558179483314 N·m (NIST SP 811, Appendix B.8).
"""

import re
from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.small import joint
from putback.core.car import Joint
from putback.core.fasten.lever import Adapter
from putback.core.fasten.wrench import Task, Wrench, WrenchKind, judge_all
from putback.core.quantity import Torque
from putback.faces.wrench_words import three, wrench_words
from putback.plan.plan import TorqueLine, WrenchLine, WrenchUse
from putback.plan.wrenches import doubts, judged_card

DAY = date(2026, 6, 1)
A = Wrench(
    id="a",
    name="A",
    kind=WrenchKind.CLICK,
    lowest=5,
    top=25,
    unit="N·m",
    grip_length_mm=250,
    tolerance_class="II-A",
    resolution=0.1,
    due=date(2027, 3, 1),
)
B = replace(A, id="b", name="B", lowest=20, top=100, grip_length_mm=400, resolution=0.5)
CROW = Adapter(name="crow-foot 17", length_mm=48.6)


def line(torque: str | None = "24 N·m", *tools: str, **other: Any) -> TorqueLine:
    """A line of a card for one joint."""
    one = joint("j1", torque=torque, **other)
    needed = one.sourced_torque is None
    return TorqueLine(joint=one, item="i1", value_needed=needed, tools=tools or ("hex13",), renewed_by=None)


def judged(one: TorqueLine, *wrenches: Wrench, **adapters: Adapter) -> WrenchLine:
    """What is said of one line."""
    named = {id.replace("_", "-"): adapter for id, adapter in adapters.items()}
    (found,) = judged_card([one], wrenches=wrenches or (A, B), adapters=named, day=DAY)
    assert found.wrench is not None
    return found.wrench


def best(one: TorqueLine, *wrenches: Wrench, **adapters: Adapter) -> WrenchUse:
    """The wrench that does one line."""
    found = judged(one, *wrenches, **adapters).best
    assert found is not None
    return found


def words(one: TorqueLine, *wrenches: Wrench, **adapters: Adapter) -> list[str]:
    """What people read of one line, without the band."""
    said = wrench_words(replace(one, wrench=judged(one, *wrenches, **adapters)))
    return [re.sub(r" ± [0-9.]+ %$", "", words) for words in said]


def test_each_torque_gets_the_wrench_whose_range_covers_it() -> None:
    assert best(line("9 N·m")).id == "a"
    assert best(line("60 N·m", thread="M10")).id == "b"
    assert words(line("60 N·m", thread="M10")) == ["B at setting 60 N·m"]


def test_a_setting_in_the_wrench_s_own_unit() -> None:
    feet = replace(B, unit="lbf·ft", resolution=None)
    found = best(line("60 N·m", thread="M10"), feet)
    assert found.setting == pytest.approx(60 / 1.3558179483314)
    assert words(line("60 N·m", thread="M10"), feet) == ["B at setting 44.3 lbf·ft, for 60 N·m"]


def test_the_band_holds_the_torque() -> None:
    """4 % of the class, half a mark of 0.5 at 60: 2 sqrt((4/sqrt 3)^2 + (0.41667/sqrt 3)^2) = 4.644 % (GUM, k = 2)."""
    band = best(line("60 N·m", thread="M10")).band_nm
    assert band == pytest.approx((60 * (1 - 0.04644), 60 * (1 + 0.04644)), rel=1e-4)
    one = line("60 N·m", thread="M10")
    assert list(wrench_words(replace(one, wrench=judged(one)))) == ["B at setting 60 N·m ± 4.6 %"]
    bare = judged(one, replace(B, tolerance_class=None))
    assert next(wrench_words(replace(one, wrench=bare))) == "B at setting 60 N·m"


def test_why_none_can_the_nearest_first_with_every_reason() -> None:
    found = judged(line("3 N·m"), B, A)
    assert found.best is None
    assert [one.id for one in found.none] == ["a", "b"]
    said = words(line("3 N·m"), B, A)[0]
    assert said.startswith("none of your wrenches: A: the torque, 3 N·m, is below its lowest mark of 5 N·m; B: ")
    assert "take a smaller wrench" in found.none[0].reasons[0]


def test_a_reason_against_all_is_told_once() -> None:
    (found,) = judged_card([line("24 N·m")], wrenches=(replace(A, id="c"), A), adapters={}, day=date(2027, 3, 2))
    (said,) = wrench_words(found)
    assert said == "none of your wrenches: its calibration ran out on 2027-03-01: have it calibrated"


def test_many_that_cannot_are_counted() -> None:
    many = [replace(A, id=f"w{n}", name=f"W{n}", top=25 + n) for n in range(12)]
    assert words(line("140 N·m", thread="M14"), *many)[0].endswith("; 10 more cannot either")


def test_an_empty_list() -> None:
    (found,) = judged_card([line()], wrenches=(), adapters={}, day=DAY)
    assert list(wrench_words(found)) == ["there is no wrench in the list"]


def test_value_needed_names_no_wrench() -> None:
    assert judged(line(None)) == WrenchLine()
    assert words(line(None)) == []


def test_without_a_list_nothing_is_said() -> None:
    assert list(wrench_words(line())) == []


def test_of_an_angle_torque_the_wrench_does_the_snug_torque() -> None:
    said = words(line("12 N·m + 90°", thread="M8"), A)
    assert said == ["snug torque: A at setting 12 N·m", "the wrench does the torque only; then turn by angle: 90°"]


def test_an_unknown_crow_foot_needs_its_length() -> None:
    said = words(line("24 N·m", "ratcheting-ring-13", "crow-foot-13", thread="M8"))
    assert said[0] == "A at setting 24 N·m"
    assert "with crow-foot-13 only square to the wrench (90°)" in said[1]
    assert "its length from drive to fastener is needed" in said[1]


def test_an_extension_in_line_with_the_fastener_needs_nothing() -> None:
    assert words(line("24 N·m", "socket-13", "extension-150", thread="M8"), A) == ["A at setting 24 N·m"]


def test_a_known_crow_foot_is_told_for_square_and_in_line() -> None:
    """In line: 24 x 400 / 448.6 = 21.4."""
    one = line("24 N·m", "crow-17", thread="M8")
    said = words(one, B, crow_17=CROW)
    assert said[0] == "B at setting 24 N·m"
    assert "with crow-foot 17 in line with the wrench (0°) set it to 21.4 N·m instead" in said
    by_name = words(line("24 N·m", "crow-foot 17", thread="M8"), B, other=CROW)
    assert by_name == said


def test_a_setting_in_line_that_falls_below_the_range_is_told() -> None:
    """21 x 400 / 500 = 16.8, below 20."""
    said = words(line("21 N·m", "crow-17", thread="M8"), B, crow_17=replace(CROW, length_mm=100))
    assert any("it cannot: the setting, 16.8 N·m, is below" in one for one in said)


@pytest.mark.parametrize("tools", [("socket-13", "universal-joint"), ("swivel",)])
def test_a_flexible_joint_has_no_setting(tools: tuple[str, ...]) -> None:
    found = judged(line("24 N·m", *tools, thread="M8"), swivel=Adapter(name="swivel joint", flexible=True))
    assert found.best is None
    assert all("no lever that holds still" in one.reasons[0] for one in found.none)


def test_a_wrench_that_corrects_itself_is_not_corrected_again() -> None:
    electronic = replace(B, corrects_itself=True, kind=WrenchKind.ELECTRONIC)
    found = judged(line("24 N·m", "crow-17", thread="M8"), electronic, crow_17=CROW)
    assert "corrects for an adapter by itself" in found.none[0].reasons[0]


def test_a_first_pass_below_the_range_is_told() -> None:
    """30 % of 60 is 18, below 20."""
    one = line("60 N·m", thread="M10", passes_percent=(30.0, 60.0, 100.0))
    told = [said for said in words(one, B) if "pass" in said]
    assert told == ["the pass at 30 %, 18 N·m, is below its range: take a smaller wrench for it"]


DOUBTS = [
    ("24 N·m", "M8", []),
    ("18 lbf·ft", "M8", ["look at the unit again: in N·m it would be 18 N·m, in lbf·in it would be 2.03 N·m"]),
    ("200 lbf·ft", "M8", ["271 N·m is more than", "look at the unit again: in lbf·in it would be 22.6 N·m"]),
    ("600 N·m", "M6", ["600 N·m is more than", "look at the unit again: in N·cm it would be 6 N·m"]),
    ("5 N·cm", "M8", ["0.05 N·m is less than", "look at the unit again: in N·m it would be 5 N·m"]),
    ("3000 N·m", "M8", ["3000 N·m is more than", "look at the unit again: in N·cm it would be 30 N·m"]),
]


@pytest.mark.parametrize(("torque", "thread", "starts"), DOUBTS)
def test_doubts(torque: str, thread: str, starts: list[str]) -> None:
    """18 lbf·in = 2.03 N·m, 200 lbf·in = 22.6 N·m. At most: proof load of 12.9 (ISO 898-1) times 0.30 d, M8 85 N·m."""
    found = doubts(joint("j1", torque=torque, thread=thread))
    assert len(found) == len(starts), found
    assert all(said.startswith(start) for said, start in zip(found, starts, strict=True)), found


def test_doubts_of_no_thread_and_no_value() -> None:
    assert doubts(joint("j1", torque=None)) == ()
    no_thread: Joint = joint("j1", torque="900 N·m", thread=None)
    assert "a torque on a car is plausible between 0.5 and 400 N·m" in doubts(no_thread)[0]


@given(value=st.floats(0.1, 500), count=st.integers(1, 5))
def test_equal_torques_get_equal_answers(value: float, count: int) -> None:
    torque = Torque(value=value, unit="N·m")
    one = line("24 N·m")
    lines = [replace(one, joint=replace(one.joint, id=f"j{n}", torque=torque)) for n in range(count)]
    together = judged_card(lines, wrenches=(A, B), adapters={}, day=DAY)
    alone = [judged_card([each], wrenches=(A, B), adapters={}, day=DAY)[0] for each in lines]
    assert list(together) == alone
    for each in together:
        assert each.wrench is not None
        assert (each.wrench.best is not None) == (5 <= value <= 25 or 20 <= value <= 100)


@given(value=st.floats(0.5, 300), tops=st.lists(st.floats(5, 400), min_size=1, max_size=6))
def test_the_best_is_that_of_judging_every_wrench(value: float, tops: list[float]) -> None:
    owned = [replace(A, id=f"w{n}", top=top, lowest=top / 10, resolution=top / 100) for n, top in enumerate(tops)]
    torque = Torque(value=value, unit="N·m")
    one = line("24 N·m")
    found = judged(replace(one, joint=replace(one.joint, torque=torque)), *owned)
    first = judge_all(owned, Task(torque=torque, day=DAY))[0]
    assert (found.best.id if found.best else None) == (first.wrench.id if first.can else None)
    assert bool(found.none) is not first.can


def test_three_digits() -> None:
    assert [three(value) for value in (21.428, 140.0, 9.0, 0.5, 1200.0)] == ["21.4", "140", "9.00", "0.500", "1200"]
