"""One idea: groups that were read become the frozen values of the model; nothing is judged here.

Where a value could not be read its fault is told already, and a harmless stand-in lets the checks go on. Such a
car is never handed out.
"""

from dataclasses import replace
from types import MappingProxyType
from typing import Any

from putback.adapters.car_file.desk import Desk
from putback.adapters.car_file.filled import Filled
from putback.core.car import (
    Action,
    Car,
    Circuit,
    Energy,
    Fluid,
    Guard,
    Item,
    Joint,
    Lift,
    Link,
    Origin,
    PossibleFinding,
    Proof,
    Relearn,
    Service,
    SwingLimit,
    Wait,
    Way,
    Zone,
)

_NONE = (0.0, 0.0)


def link(filled: Filled) -> Link:
    """A link of `needs_off`."""
    origin = Origin(filled.get("from", Origin.STATED))
    return Link(item=filled.get("item", ""), origin=origin, jobs=filled.get("jobs", 0))


def way(filled: Filled) -> Way:
    """One manner of reaching a joint."""
    off, on = filled.get("minutes", _NONE)
    return Way(
        id=filled.get("id", ""),
        needs_off=filled.get("needs_off", ()),
        tools=filled.get("tools", ()),
        minutes_off=off,
        minutes_on=on,
        sight=filled.get("sight"),
    )


def zone(filled: Filled) -> Zone:
    """A zone; its id is put in by `car`."""
    return Zone(id="", name=filled.get("name", ""), lift=Lift(filled.get("lift", Lift.ANY)))


def joint(item: str, filled: Filled) -> Joint:
    """A joint of this item."""
    return Joint(
        id=filled.get("id", ""),
        item=item,
        count=filled.get("count", 1),
        thread=filled.get("thread"),
        kind=filled.get("kind"),
        drive=filled.get("drive"),
        torque=filled.get("torque"),
        source=filled.get("source"),
        pattern=filled.get("pattern"),
        passes_percent=filled.get("passes", ()),
        layout_mm=filled.get("layout", ()),
        recheck=filled.get("recheck"),
        thread_treatment=filled.get("thread_treatment"),
        one_time=filled.get("one_time", False),
        ways=filled.get("ways", ()),
        notes=filled.get("notes", ()),
        line=filled.line,
    )


def item(id: str, filled: Filled) -> Item:
    """An item."""
    off, on = filled.get("minutes", _NONE)
    renewed = filled.get("renew_with", ())
    fluids = tuple(text.removeprefix("fluid").strip() for text in renewed if _is_fluid(text))
    return Item(
        id=id,
        name=filled.get("name", ""),
        zone=filled.get("zone", ""),
        action=Action(filled.get("action", Action.REMOVE)),
        minutes_off=off,
        minutes_on=on,
        minutes_known="minutes" in filled.values,
        needs_off=filled.get("needs_off", ()),
        links_complete=filled.get("links", "complete") == "complete",
        people=filled.get("people", 1),
        mass_kg=filled.get("mass_kg"),
        ahead_of_front_axle_mm=filled.get("ahead_of_front_axle_mm"),
        energy=filled.get("energy", ()),
        one_time=filled.get("one_time", False),
        opens_port=filled.get("opens_port", False),
        renew_with_items=tuple(text for text in renewed if not _is_fluid(text)),
        renew_with_fluids=fluids,
        renews_joint=filled.get("joint"),
        joints=tuple(joint(id, held) for held in filled.get("joints", ())),
        notes=filled.get("notes", ()),
        line=filled.line,
    )


def _is_fluid(text: str) -> bool:
    return text.startswith("fluid ")


def energy(id: str, filled: Filled) -> Energy:
    """An energy; its source covers what has none of its own."""
    source = filled.get("source")
    return Energy(
        id=id,
        kind=filled.get("kind", ""),
        item=filled.get("item"),
        make_safe=filled.get("make_safe"),
        proof=_proof(filled.get("proof"), source),
        wait=_wait(filled.get("wait"), source),
        volts=filled.get("volts"),
        near=filled.get("near", ()),
        after=filled.get("after", ()),
        joined=filled.get("with", ()),
        before=filled.get("before", ()),
        before_it=filled.get("before_it", ()),
        restore_after=filled.get("restore_after"),
        forbid=filled.get("forbid", ()),
        lock=filled.get("lock"),
        who=filled.get("who"),
        attended=filled.get("attended", False),
        expected_codes=filled.get("expected_codes", ()),
        source=source,
        line=filled.line,
    )


def _wait(filled: Filled | None, source: str | None) -> Wait | None:
    if filled is None:
        return None
    return Wait(minutes=filled.get("minutes"), start=filled.get("from", ""), source=filled.get("source", source))


def _proof(filled: Filled | None, source: str | None) -> Proof | None:
    if filled is None:
        return None
    return Proof(
        measure=filled.get("measure"),
        check=filled.get("check"),
        points=filled.get("prove_test_prove", ()),
        at_most=filled.get("at_most"),
        within_minutes=filled.get("within_minutes"),
        reach=filled.get("reach", ()),
        source=filled.get("source", source),
    )


def guard(filled: Filled) -> Guard:
    """A guard; its id is put in by `car`."""
    return Guard(
        id="",
        name=filled.get("name", ""),
        zone=filled.get("zone", ""),
        closes=MappingProxyType(filled.get("closes", {})),
        pieces=filled.get("pieces", 0),
        in_after=filled.get("in_after"),
        out_before=filled.get("out_before"),
        support_for=filled.get("support_for"),
        line=filled.line,
    )


def fluid(filled: Filled) -> Fluid:
    """A fluid; its id is put in by `car`."""
    drain = filled.get("drain")
    return Fluid(
        id="",
        litres=filled.get("litres"),
        tolerance_l=filled.get("tolerance_l"),
        energy=filled.get("energy"),
        drain_joint=drain.get("joint") if drain else None,
        drain_item=drain.get("item") if drain else None,
        opened_by=filled.get("opened_by", ()),
        fill=filled.get("fill"),
        bleed=filled.get("bleed"),
        mass_kg=filled.get("mass_kg"),
        ahead_of_front_axle_mm=filled.get("ahead_of_front_axle_mm"),
        source=filled.get("source"),
        line=filled.line,
    )


def relearn(filled: Filled) -> Relearn:
    """What must be taught again."""
    return Relearn(what=filled.get("what", ""), after=filled.get("after", ""), codes=filled.get("codes", ()))


def service(filled: Filled) -> Service:
    """A service; its id is put in by `car`."""
    return Service(
        id="",
        name=filled.get("name", ""),
        targets=filled.get("targets", ()),
        minutes=MappingProxyType(filled.get("minutes", {})),
        parts=MappingProxyType(filled.get("parts", {})),
        consumables=filled.get("consumables", 0.0),
        sublet=MappingProxyType(filled.get("sublet", {})),
    )


def possible_finding(filled: Filled) -> PossibleFinding:
    """A possible finding; its id is put in by `car`."""
    return PossibleFinding(
        id="",
        seen_at=filled.get("seen_at", ""),
        trigger=filled.get("trigger", ""),
        chance=filled.get("chance"),
        parts=MappingProxyType(filled.get("parts", {})),
        minutes=filled.get("minutes", 0.0),
        hold=filled.get("hold"),
        if_declined=filled.get("if_declined"),
        stop=filled.get("stop", False),
        who=filled.get("who"),
        sublet=filled.get("sublet", False),
    )


def circuit(filled: Filled) -> Circuit:
    """A circuit; its id is put in by `car`."""
    return Circuit(id="", items=filled.get("items", ()), module=filled.get("module"), codes=filled.get("codes", ()))


def car(filled: Filled, desk: Desk) -> Car:
    """The whole car."""
    swings = filled.get("swing_limits", {})
    return Car(
        name=filled.get("name", ""),
        file=desk.file,
        invented=filled.get("invented", False),
        layout=filled.get("layout"),
        mass_kg=filled.get("mass_kg"),
        wheelbase_mm=filled.get("wheelbase_mm"),
        cg_behind_front_axle_mm=filled.get("cg_behind_front_axle_mm"),
        zones=_with_ids(filled.get("zones", {})),
        sources=MappingProxyType(filled.get("sources", {})),
        items=MappingProxyType({id: item(id, value) for id, value in filled.get("items", {}).items()}),
        energies=MappingProxyType({id: energy(id, value) for id, value in filled.get("energies", {}).items()}),
        guards=_with_ids(filled.get("guards", {})),
        swing_limits=MappingProxyType({id: _swing_limit(id, value) for id, value in swings.items()}),
        fluids=_with_ids(filled.get("fluids", {})),
        relearn=filled.get("relearn", ()),
        services=_with_ids(filled.get("services", {})),
        findings=_with_ids(filled.get("findings", {})),
        circuits=_with_ids(filled.get("circuits", {})),
    )


def _swing_limit(id: str, filled: Filled) -> SwingLimit:
    return SwingLimit(item=id, facts=MappingProxyType(filled.rest), source=filled.get("source"))


def _with_ids(values: dict[str, Any]) -> Any:
    """The values of a section, each knowing its own id."""
    return MappingProxyType({id: replace(value, id=id) for id, value in values.items()})
