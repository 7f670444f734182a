"""Nothing is lost and nothing is raised: many faults at once, any broken text, thousands of items."""

import random
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.adapters.car_file import Reading, demo_path, read_car_text
from putback.adapters.car_file.desk import MOST_FINDINGS
from putback.core.finding import faults

DEMO = demo_path().read_text(encoding="utf-8")
LINES = DEMO.split("\n")

SLIPS: tuple[Callable[[str], str], ...] = (
    lambda line: line.replace("zone: ", "zone: Z"),
    lambda line: line.replace("action: ", "action: re-"),
    lambda line: line.replace("minutes: [", "minutes: [-"),
    lambda line: line.replace("name: ", "nmae: "),
    lambda line: line.replace("mass_kg: ", "mass_kg: -"),
    lambda line: line.replace("count: ", "count: 9999"),
)


def slipped(wanted: int) -> tuple[str, list[int]]:
    """The demo with this many slips, each in an item of its own, and the lines of the slips."""
    lines, numbers = list(LINES), []
    starts = [
        n for n, line in enumerate(lines) if line.startswith("  ") and line[2:3].isalpha() and line.endswith(":")
    ]
    for number, start in enumerate(starts[:wanted]):
        slip = SLIPS[number % len(SLIPS)]
        inside = range(start + 1, next((n for n in starts if n > start), len(lines)))
        at = next((n for n in inside if slip(lines[n]) != lines[n]), None)
        slip, at = (slip, at) if at is not None else (SLIPS[0], next(n for n in inside if "zone: " in lines[n]))
        lines[at] = slip(lines[at])
        numbers.append(at + 1)
    return "\n".join(lines), sorted(numbers)


@pytest.mark.parametrize("wanted", [1, 30, 60])
def test_as_many_findings_as_faults(wanted: int) -> None:
    text, numbers = slipped(wanted)
    found = faults(read_car_text(text.encode(), "x").findings)
    assert [finding.where.line for finding in found] == numbers


def test_faults_of_every_depth_are_told_together() -> None:
    lines = list(LINES)
    lines[1] = "putback_: car/1"
    lines[LINES.index("  fan:") + 6] = "    mass_kg: heavy"
    below = next(n for n, line in enumerate(lines) if "{id: below, needs_off: [undertray]" in line)
    lines[below] = lines[below].replace("undertray", "undertrya").replace("minutes: [7, 9]", "minutes: [7]")
    lines[next(n for n, line in enumerate(lines) if line.startswith("  right-impact:"))] += " x"
    assert not read_car_text("\n".join(lines).encode(), "x").readable
    lines[-2] = lines[-2].removesuffix(" x")
    told = [str(finding) for finding in faults(read_car_text("\n".join(lines).encode(), "x").findings)]
    assert len(told) == 4
    assert "items.fan.mass_kg" in told[1]
    assert any("items.housing.joints.j73h.ways.below.needs_off" in text for text in told[2:])
    assert any("items.housing.joints.j73h.ways.below.minutes" in text for text in told[2:])


def test_a_flood_of_faults_ends() -> None:
    text = "putback: car/1\nname: x\n" + "".join(f"key{number}: 1\n" for number in range(100_000))
    reading = read_car_text(text.encode(), "x")
    assert len(reading.findings) == MOST_FINDINGS + 1
    assert "mend them first" in str(reading.findings[-1])


def broken(text: str, choose: random.Random) -> str:
    """The text with one to four small accidents of an editor."""
    for _ in range(choose.randint(1, 4)):
        if len(text) < 4:
            return text
        at = choose.randrange(len(text) - 2)
        lines = text.split("\n")
        number = choose.randrange(len(lines))
        text = (
            choose.choice(
                (
                    lambda n=number, ls=lines: "\n".join(ls[:n] + ls[n + 1 :]),
                    lambda n=number, ls=lines: "\n".join([*ls[: n + 1], *ls[n:]]),
                    lambda t=text, a=at: t[:a] + t[a + 1] + t[a] + t[a + 2 :],
                    lambda t=text, a=at: t[:a] + t[a + 1 :],
                    lambda t=text, a=at: t[:a] + choose.choice("{}[],:#&*!|>'\"%@`-? \t\n0a\u00e9\u2028\x00") + t[a:],
                    lambda t=text, a=at: t[:a],
                )
            )()
            or text
        )
    return text


@settings(max_examples=400, deadline=None)
@given(st.randoms(use_true_random=False))
def test_any_broken_text_ends_in_a_reading(choose: random.Random) -> None:
    reading = read_car_text(broken(DEMO, choose).encode("utf-8", "replace"), "x")
    assert isinstance(reading, Reading)
    assert (reading.car is None) == bool(faults(reading.findings))
    assert all(finding.mend and finding.what and finding.rule for finding in reading.findings)


@settings(max_examples=200, deadline=None)
@given(st.binary(max_size=200))
def test_any_bytes_end_in_a_reading(data: bytes) -> None:
    assert read_car_text(data, "x").car is None
    assert read_car_text(b"putback: car/1\n" + data, "x").car is None


def generated(items: int, wrong: bool) -> str:
    """A car of so many items, a fifth with a joint of two ways; `wrong`: one link in ten names no item."""
    choose = random.Random(7)
    lines = ["putback: car/1", "name: large", "zones: {top: top}", "items:"]
    for number in range(items):
        needs = sorted({f"item-{choose.randrange(number):05d}" for _ in range(3)}) if number else []
        if wrong and number % 10 == 0:
            needs.append(f"itme-{number:05d}")
        lines.append(f"  item-{number:05d}:")
        lines.append(f"    {{name: item {number}, zone: top, action: remove, needs_off: [{', '.join(needs)}],")
        lines.append("    minutes: [1, 2], joints: [")
        way = f"{{needs_off: [item-{choose.randrange(number or 1):05d}], minutes: [1, 1], id: " if number else ""
        ways = f", ways: [{way}a}}, {way}b}}]" if number and number % 5 == 0 else ""
        lines.append(f"      {{id: j{number}, count: 4, kind: clip, drive: hand{ways}}}]}}")
    return "\n".join(lines)


@pytest.mark.parametrize("wrong", [False, True])
def test_five_thousand_items(wrong: bool) -> None:
    data = generated(5000, wrong).encode()
    reading = read_car_text(data, "x")
    assert len(reading.findings) == (500 if wrong else 0)


def test_a_loop_through_thousands_is_shown_by_its_ends() -> None:
    lines = ["putback: car/1", "name: large", "zones: {top: top}", "items:"]
    lines += [
        f"  i{n}: {{name: i, zone: top, action: remove, minutes: [1, 1], needs_off: [i{(n + 1) % 3000}]}}"
        for n in range(3000)
    ]
    (finding,) = read_car_text("\n".join(lines).encode(), "x").findings
    assert finding.what.endswith("needs i2997 (line 3002) needs i2998 (line 3003) needs i2999 (line 3004) needs i0")
    assert "2989 others" in finding.what
