"""What is told of a fastener left over, on a small made-up car; the ranking itself is tested in core/fasten."""

from core.small import item, joint, small_car
from putback.tight.leftover import SHOWN, leftover_tool

LENGTH = "its length is not known; measure it under the head"
DRIVE = "its drive is not known; try which socket fits"


def test_what_is_unknown_of_every_joint_is_told_once_and_first() -> None:
    car = small_car(
        item("cover", (), joint("c1", 4, "M6x20"), joint("c2", 2, "M6x35")), item("lamp", (), joint("l1", 2, "M6x20"))
    )
    told = leftover_tool(car).tell({"thread": "M6", "count": "1"})
    first, *joints = told.lines
    assert first.name == "find out first"
    assert LENGTH in str(first.value)
    assert DRIVE in str(first.value)
    assert len(joints) == 3
    assert not any("not known" in str(one.value) for one in joints)
    assert all("thread fits" in str(one.value) for one in joints)


def test_what_one_joint_alone_leaves_open_stays_with_it() -> None:
    car = small_car(item("cover", (), joint("c1", 4, "M6x20")), item("lamp", (), joint("l1", 2, None, None)))
    told = leftover_tool(car).tell({"thread": "M6x20", "count": "1"})
    by_joint = {one.name.rpartition(" ")[2]: str(one.value) for one in told.lines}
    assert "the car file gives no thread for l1" in by_joint["(l1)"]
    assert "the car file gives no thread" not in by_joint["first"] + by_joint["(c1)"]
    assert "thread, length fit" in by_joint["(c1)"]


def test_a_long_list_says_how_much_of_it_is_shown() -> None:
    many = small_car(item("cover", (), *(joint(f"c{at}", 1, "M6x20") for at in range(SHOWN + 3))))
    told = leftover_tool(many).tell({"thread": "M6x20", "count": "1"})
    assert told.says.endswith(f"then {SHOWN + 2} more, the first {SHOWN} in all are listed.")
    assert sum("(c" in one.name for one in told.lines) == SHOWN
    few = small_car(item("cover", (), joint("c1", 1, "M6x20")))
    assert "more" not in leftover_tool(few).tell({"thread": "M6x20", "count": "1"}).says
