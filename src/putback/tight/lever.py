"""One idea: which wrench can do a torque, and what it is set to; without an adapter's length nothing is told."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date

from putback.adapters.tool_list import read_tools_text
from putback.core.fasten.answer import Answer
from putback.core.fasten.lever import Adapter, setting_behind
from putback.core.fasten.tool import Ask, Field, Fields, Line, Told, Tool
from putback.core.fasten.wrench import Fitness, Task, judge_all
from putback.core.fasten.wrench import says as judged_words
from putback.tight.words import AUTHORITY, TODAY, TORQUE_FIELD, shown, then_angles

_ANGLE = Field(
    name="angle",
    words="between wrench and adapter: 0 in line, 90 square, 180 turned back",
    like="0",
    unit="degrees",
    ask=Ask.NUMBER,
    least=0,
    most=180,
    usual="0",
)


def _crowfoot(given: Fields) -> Told:
    torque = given.torque("torque")
    grip_mm, adapter_mm = given.number("length"), given.number("adapter")
    adapter = Adapter(length_mm=adapter_mm, angle_deg=given.number("angle"))
    found = setting_behind(torque=torque.value, grip_length_mm=grip_mm, adapter=adapter)
    set_to = shown(torque, found.setting * torque.torque_nm / torque.value)
    return Told(
        says=f"Set the wrench to {set_to}, and the fastener gets {shown(torque)}.{then_angles(torque)}",
        answer=Answer(value=found.setting, unit=torque.unit, source=found.source, warnings=found.warnings),
        lines=(
            Line(name="setting", value=found.setting, unit=torque.unit),
            Line(name="off, if left uncorrected", value=found.uncorrected_percent, unit="%"),
        ),
    )


CROWFOOT = Tool(
    name="crowfoot",
    title="Crow-foot or extension",
    what="What a torque wrench is set to behind an adapter that sticks out, at an angle.",
    fields=(
        TORQUE_FIELD,
        Field(
            name="length",
            words="middle of the grip to the drive",
            like="250",
            unit="mm",
            ask=Ask.NUMBER,
            above=0,
            needed=True,
        ),
        Field(
            name="adapter", words="drive to the fastener", like="30", unit="mm", ask=Ask.NUMBER, least=0, needed=True
        ),
        _ANGLE,
    ),
    answer=_crowfoot,
    authority=AUTHORITY,
)


def _wrench(given: Fields) -> Told:
    name, _, text = given.text("tools").partition("\n")
    read = read_tools_text(text.encode(), name)
    if read.tools is None:
        given.faults += [str(one) for one in read.findings]
    day = given.day("day")
    torque = given.torque("torque")
    adapter = _between(given, read.tools.adapters if read.tools else {})
    if read.tools is None or day is None:
        return Told(says="", answer=Answer(refused="unread", source="-"))
    task = Task(torque=torque, day=day, adapter=adapter, left_hand=given.text("turns") == "left")
    judged = judge_all(tuple(read.tools.wrenches.values()), task)
    can = [one for one in judged if one.can]
    lines = tuple(Line(name=f"wrench {one.wrench.name}", value=_verdict(one)) for one in judged)
    source = "ISO 6789 ranges and classes; lever law for adapters; the owner's tool list"
    if not can:
        refused = f"none of the {len(judged)} wrenches of the list can do {shown(torque)}"
        return Told(
            says=f"{refused[0].upper()}{refused[1:]}.", answer=Answer(refused=refused, source=source), lines=lines
        )
    best = can[0]
    said = judged_words(judged)
    return Told(
        says=f"{said[0].upper()}{said[1:]}.{then_angles(torque)}",
        answer=Answer(value=best.setting, unit=best.wrench.unit, source=source, warnings=tuple(_beware(best))),
        lines=(_reached(best, day), *lines),
    )


def _between(given: Fields, listed: Mapping[str, Adapter]) -> Adapter | None:
    """The adapter that sticks out, by its length or as the list has it; None where there is none."""
    angle_deg, name = given.number("angle"), given.text("adapter-name")
    typed = Adapter(length_mm=given.number("adapter"), angle_deg=angle_deg) if given.has("adapter") else None
    if not name:
        return typed
    if typed is not None:
        given.faults.append("adapter and adapter-name are both given; give the length, or the name in the list")
    known = {**{one.name: one for one in listed.values()}, **listed}
    if name not in known:
        has = f"it has {', '.join(listed)}" if listed else "it has none"
        given.faults.append(f"adapter-name={name!r} is not in the tool list; {has}")
        return None
    return replace(known[name], angle_deg=angle_deg)


def _verdict(one: Fitness) -> str:
    """What one wrench can do, or every reason why not."""
    if one.setting is None or not one.can:
        return f"not this one: {'; '.join(one.reasons)}"
    mark = "" if one.mark_off_percent is None else f", nearest mark {one.mark:g} ({one.mark_off_percent:+.1f} %)"
    return f"set to {one.setting:.4g} {one.wrench.unit}{mark}"


def _beware(best: Fitness) -> Iterator[str]:
    yield from dict.fromkeys(best.warnings)
    left_out = best.uncertainty.left_out if best.uncertainty else ()
    if left_out:
        yield f"not counted in the band, as nothing is known of it: {', '.join(left_out)}"


def _reached(best: Fitness, day: date) -> Line:
    """What the fastener gets from the best wrench, as a band where its tolerance is known."""
    torque_nm = best.torque.torque_nm
    return Line(name=f"torque at the fastener, on {day}", value=torque_nm, unit="N·m", band=best.band_nm)


WRENCH = Tool(
    name="wrench",
    title="Which wrench",
    what="Which torque wrench of your own list can do a torque, at which setting, and why the others cannot.",
    fields=(
        TORQUE_FIELD,
        Field(name="tools", words="your tool list (tools/1)", like="my.tools.yaml", ask=Ask.FILE, needed=True),
        TODAY,
        Field(
            name="adapter",
            words="adapter that sticks out, drive to fastener",
            like="30",
            unit="mm",
            ask=Ask.NUMBER,
            least=0,
        ),
        Field(name="adapter-name", words="or that adapter by its id or name in the list", like="crow-17"),
        _ANGLE,
        Field(name="turns", words="turned to the", like="right", ask=Ask.CHOICE, of=("right", "left"), usual="right"),
    ),
    answer=_wrench,
    authority=AUTHORITY,
)
