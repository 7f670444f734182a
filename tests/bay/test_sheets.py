"""What is shown at an act, on the demo: literal numbers are those of the demo's car file, all invented."""

import re
from typing import Any

import pytest

from bay.packs import demo_pack, random_packs
from putback.bay.drawn import MOST_DOTS, order_svg, twins_svg
from putback.core.record import EVENTS
from putback.core.record.kinds import DONE

HOWS = {"say", "picture", "word", "number", "count", "choice", "tick"}


def act(title: str) -> dict[str, Any]:
    return next(one for one in demo_pack()["acts"] if one["title"] == title)


def asks(title: str, field: str) -> list[dict[str, Any]]:
    return [ask for ask in act(title)["asks"] if ask.get("field") == field]


def test_off_counts_every_joint_and_names_its_tray() -> None:
    assert [(ask["words"], ask["usual"]) for ask in asks("remove thermostat housing", "count")][:2] == [
        ("M8x60", 1),
        ("M8x35", 4),
    ]
    assert {ask["usual"] for ask in asks("remove thermostat housing", "stow")} == {"K1", "K2"}


def test_a_length_trap_asks_which_length_went_in() -> None:
    """A 60 mm bolt beside four of 35 mm, same thread and drive."""
    found = {ask["want"]: ask["of"] for ask in asks("fit thermostat housing", "thread")}
    assert found == {"M8x60": [["M8x35"], ["M8x60"]], "M8x35": [["M8x35"], ["M8x60"]]}


def test_torque_is_asked_only_where_the_file_gives_a_manner() -> None:
    values = asks("tighten electric coolant pump", "torque")
    assert [(ask["usual"], ask["words"]) for ask in values] == [(12, "N·m, as set")]
    assert not asks("tighten horn pair", "torque")


def test_plugs_are_counted_out_one_by_one() -> None:
    pieces = [
        ask for ask in act("fit thermostat housing")["asks"] if ask.get("field") == "count" and ask["how"] == "tick"
    ]
    assert [(ask["want"], ask["more"]) for ask in pieces] == [(1, "289.5 min if forgotten")]


def test_a_proof_by_one_reading_is_asked_with_unit_and_limit() -> None:
    reading = asks("prove gone: 12\N{NO-BREAK SPACE}V", "value")
    assert [(ask["words"], ask["most"]) for ask in reading] == [("volts at the body side, V: at most 0.5", 0.5)]
    assert act("prove gone: 12\N{NO-BREAK SPACE}V")["logs"][0] == [
        "reading taken",
        {"energy": "lv", "phase": "test", "unit": "V"},
    ]


def test_the_six_things_before_12_v_goes_off_are_ticked() -> None:
    assert len(asks("before 12\N{NO-BREAK SPACE}V goes off", "ticked")) == 6


def test_a_new_part_is_confirmed_and_held_against_the_old_one() -> None:
    shown = act("fit electric coolant pump")["asks"]
    assert "new: electric coolant pump" in [ask["words"] for ask in shown if ask["how"] == "tick"]
    assert [ask["hold"]["gate"] for ask in shown if ask.get("field") == "same"] == ["not-compared"]


@pytest.mark.parametrize("pack", [demo_pack(), *random_packs(12)])
def test_every_line_can_be_drawn_and_logged(pack: dict[str, Any]) -> None:
    for act in pack["acts"]:
        assert act["title"]
        assert act["go"]
        assert act.get("picture") is None or act["picture"] in pack["pictures"]
        for ask in act["asks"]:
            assert ask["how"] in HOWS
            assert "to" in ask or ask["how"] in ("say", "picture")
            for at in ask.get("to", ()):
                kind = EVENTS[act["logs"][at][0]]
                assert ask.get("field") in {None, *kind.must, *kind.may}


@pytest.mark.parametrize("pack", [demo_pack(), *random_packs(12)])
def test_every_line_has_a_name_of_its_own(pack: dict[str, Any]) -> None:
    keys = [ask["key"] for act in pack["acts"] for ask in act["asks"]]
    assert len(set(keys)) == len(keys)


@pytest.mark.parametrize("pack", [demo_pack(), *random_packs(12)])
def test_an_act_as_planned_logs_what_its_operations_say(pack: dict[str, Any]) -> None:
    """Each operation once, in the plan's order, with the plan's fields, and nothing of its tightness."""
    ops = {op["n"]: op for op in pack["operations"]}
    for act in pack["acts"]:
        planned = [body for kind, body in act["logs"] if kind == DONE]
        assert [body["planned"] for body in planned] == act["operations"]
        for body in planned:
            assert not {"torque", "torque_source"} & set(body)
            assert {name: ops[body["planned"]][name] for name in body if name != "planned"} == {
                name: value for name, value in body.items() if name != "planned"
            }


def test_a_drawing_has_a_dot_for_each_fastener_and_its_twin() -> None:
    for count in (1, 5, MOST_DOTS, MOST_DOTS + 9):
        drawing = twins_svg(count, going_in=True)
        assert drawing.count("<circle") == 2 * min(count, MOST_DOTS)
        assert full(drawing) == 0
    assert full(twins_svg(3, going_in=False)) == 1


def full(drawing: str) -> int:
    """How many blocks are drawn full: done."""
    return len(re.findall("<rect[^>]*currentColor", drawing))


def test_an_order_is_numbered_from_one_and_keeps_its_proportions() -> None:
    drawing = order_svg([(0, 0), (80, 60), (80, 0), (0, 60)], ring=False)
    assert re.findall(r">(\d+)</text>", drawing) == ["1", "2", "3", "4"]
    assert "figcaption" not in drawing
    xs, ys = zip(*re.findall(r'circle cx="([0-9.]+)" cy="([0-9.]+)"', drawing), strict=True)
    assert (max(map(float, xs)) - min(map(float, xs))) / (max(map(float, ys)) - min(map(float, ys))) == pytest.approx(
        80 / 60
    )
