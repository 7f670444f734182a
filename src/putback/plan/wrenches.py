"""One idea: a torque card is of use when it says which wrench of the owner's does each torque, and at which setting.

The tool list and the day come from the caller; nothing here reads a file or a clock. Torques [N·m], lengths [mm].
"""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date
from functools import cache

from putback.core.car import Joint
from putback.core.fasten.answer import NotComputable
from putback.core.fasten.designation import designation
from putback.core.fasten.lever import Adapter
from putback.core.fasten.strength import plausible_nm
from putback.core.fasten.units import LEAST_NM, MOST_NM, slips
from putback.core.fasten.wrench import Task, Wrench, judge, judge_all
from putback.core.quantity import TORQUE_UNITS_NM, Torque
from putback.plan.plan import Plan, TorqueLine, WrenchAgainst, WrenchLine, WrenchUse

CROW_FOOT = "crow-foot"
FLEXIBLE = ("universal", "wobble", "swivel", "flexible")
"""Words in a tool's name by which it sticks out, and by which it bends."""

_IN_LINE_DEG, _SQUARE_DEG = 0.0, 90.0

_A_HAIR = 1e-6
"""Wrenches further outside their range than this need not be judged where another can; below it judging decides."""


def with_wrenches(plan: Plan, *, wrenches: Iterable[Wrench], adapters: Mapping[str, Adapter], day: date) -> Plan:
    """The plan with the owner's wrenches on its torque card.

    Args:
        plan: as it was made.
        wrenches: the owner's.
        adapters: the owner's, by id; a tool of a joint is one of them where it has its id or its name.
        day: of the work, for the calibration.
    """
    return replace(plan, torque_card=judged_card(plan.torque_card, wrenches=wrenches, adapters=adapters, day=day))


def judged_card(
    card: Sequence[TorqueLine], *, wrenches: Iterable[Wrench], adapters: Mapping[str, Adapter], day: date
) -> tuple[TorqueLine, ...]:
    """The lines of a torque card, each with what the owner's wrenches can do; arguments as `with_wrenches`."""
    listed = tuple(wrenches)
    known = {**{one.name: one for one in adapters.values()}, **adapters}
    found: dict[tuple[Torque, tuple[float, ...], tuple[str, ...]], WrenchLine] = {}
    return tuple(replace(line, wrench=_line(line, listed, known, day, found)) for line in card)


def _line(
    line: TorqueLine,
    wrenches: Sequence[Wrench],
    adapters: Mapping[str, Adapter],
    day: date,
    found: dict[tuple[Torque, tuple[float, ...], tuple[str, ...]], WrenchLine],
) -> WrenchLine:
    """One line; equal torques with equal tools are judged once."""
    torque = line.joint.sourced_torque
    if torque is None:
        return WrenchLine()
    key = torque, line.joint.passes_percent, line.tools
    if key not in found:
        found[key] = _judged(line, torque, wrenches, adapters, day)
    return replace(found[key], doubts=doubts(line.joint))


def _judged(
    line: TorqueLine, torque: Torque, wrenches: Sequence[Wrench], adapters: Mapping[str, Adapter], day: date
) -> WrenchLine:
    adapter, notes = _between(line.tools, adapters)
    task = Task(torque=torque, day=day, adapter=adapter)
    covering = [wrench for wrench in wrenches if _beyond(wrench, torque) < _A_HAIR]
    best = next((one for one in judge_all(covering, task) if one.can), None)
    if best is None or best.setting is None:
        judged = judge_all(wrenches, task)
        nearest = sorted(judged, key=lambda one: (len(one.reasons), _beyond(one.wrench, torque)))
        return WrenchLine(
            none=tuple(WrenchAgainst(id=one.wrench.id, name=one.wrench.name, reasons=one.reasons) for one in nearest)
        )
    warnings = (*notes, *_in_line(best.wrench, task), *best.warnings, *_passes(best.wrench, task, line.joint))
    return WrenchLine(
        best=WrenchUse(
            id=best.wrench.id,
            name=best.wrench.name,
            setting=best.setting,
            unit=best.wrench.unit,
            mark=best.mark,
            band_nm=best.band_nm,
            warnings=tuple(dict.fromkeys(warnings)),
        )
    )


def _beyond(wrench: Wrench, torque: Torque) -> float:
    """How far a torque lies outside a wrench's range, as a ratio's logarithm; 0 within."""
    wanted = torque.torque_nm / TORQUE_UNITS_NM[wrench.unit]
    return max(0.0, math.log(wanted / wrench.top), math.log(wrench.least_setting / wanted))


def _between(tools: Iterable[str], adapters: Mapping[str, Adapter]) -> tuple[Adapter | None, tuple[str, ...]]:
    """What is between wrench and fastener, square to the wrench where it sticks out; and what must be said of it.

    The angle is only known at the car, so the setting is that of 90°, at which no length counts.
    """
    own = {tool: adapters[tool] for tool in tools if tool in adapters}
    bent = [tool for tool in tools if tool not in own and any(word in tool for word in FLEXIBLE)]
    if bent or any(one.flexible for one in own.values()):
        return Adapter(flexible=True), ()
    out = [tool for tool in tools if (own[tool].sticks_out if tool in own else CROW_FOOT in tool)]
    if len(out) == 1 and out[0] in own and own[out[0]].length_mm is not None:
        return replace(own[out[0]], angle_deg=_SQUARE_DEG), ()
    if not out:
        return next(iter(own.values()), None), ()
    length = "the length over both" if len(out) > 1 else "its length"
    return None, (
        f"with {' and '.join(out)} only square to the wrench (90°); at any other angle {length} from drive to "
        "fastener is needed, and another setting (putback fasten crowfoot)",
    )


def _in_line(wrench: Wrench, task: Task) -> Iterator[str]:
    """The setting with a known adapter in line with the wrench, where it differs."""
    adapter = task.adapter
    if adapter is None or not adapter.length_mm:
        return
    straight = judge(wrench, replace(task, adapter=replace(adapter, angle_deg=_IN_LINE_DEG)))
    where = f"with {adapter.name} in line with the wrench (0°)"
    if straight.can and straight.setting is not None:
        yield f"{where} set it to {straight.setting:.3g} {wrench.unit} instead"
    else:
        yield f"{where} it cannot: {'; '.join(straight.reasons)}"


def _passes(wrench: Wrench, task: Task, joint: Joint) -> Iterator[str]:
    """The source's own passes that lie below the wrench's range."""
    for share in joint.passes_percent:
        torque = replace(task.torque, value=task.torque.value * share / 100, angles_deg=())
        if torque.torque_nm / TORQUE_UNITS_NM[wrench.unit] < wrench.least_setting * (1 - 1e-9):
            said = f"the pass at {share:g} %, {torque.value:.3g} {torque.unit}"
            yield f"{said}, is below its range: take a smaller wrench for it"


def doubts(joint: Joint) -> tuple[str, ...]:
    """What makes a sourced torque doubtful: its thread does not bear it out, or its unit may have been mixed up.

    A slip is told of a source in another unit than N·m, and of a figure outside what is plausible. Source: see
    `core.fasten.strength.plausible_nm` and `core.fasten.units.SLIPS`.
    """
    torque = joint.sourced_torque
    if torque is None:
        return ()
    least_nm, most_nm, name = _plausible(joint)
    outside = not least_nm <= torque.torque_nm <= most_nm
    told = []
    if outside:
        much = "more" if torque.torque_nm > most_nm else "less"
        than = f"{name} is plausible between {_figure(least_nm)} and {_figure(most_nm)} N·m"
        told.append(
            f"{_figure(torque.torque_nm)} N·m is {much} than can be meant ({than}): read figure and unit again"
        )
    others: dict[str, str] = {}
    if outside or torque.unit != "N·m":
        for slip in slips(torque, least_nm=least_nm, most_nm=most_nm):
            others.setdefault(f"{_figure(slip.torque_nm)} N·m", slip.unit)
    if others:
        meant = ", ".join(f"in {unit} it would be {much}" for much, unit in others.items())
        told.append(f"look at the unit again: {meant}")
    return tuple(told)


def _figure(value: float) -> str:
    """A figure with three digits that count, whole ones as whole."""
    return f"{value:.0f}" if value >= 1000 else f"{value:.3g}"


def _plausible(joint: Joint) -> tuple[float, float, str]:
    """Least and most torque that can be meant, [N·m], and of what."""
    known = None if joint.thread is None else _plausible_nm(joint.thread.nominal)
    if joint.thread is None or known is None:
        return LEAST_NM, MOST_NM, "a torque on a car"
    return *known, joint.thread.nominal


@cache
def _plausible_nm(nominal: str) -> tuple[float, float] | None:
    """Least and most torque that can be meant for a thread, [N·m]; None where it is not known."""
    try:
        return plausible_nm(designation(nominal))
    except NotComputable:
        return None
