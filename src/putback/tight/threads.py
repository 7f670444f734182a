"""One idea: a thread and a torque are read back in full, so that a slip of size or unit is seen first."""

from putback.core.fasten.answer import Answer, NotComputable
from putback.core.fasten.limits import limits
from putback.core.fasten.strength import proof_load
from putback.core.fasten.thread import geometry
from putback.core.fasten.tool import Field, Fields, Line, Told, Tool
from putback.core.fasten.units import NIST, convert, kept, slips
from putback.core.quantity import TORQUE_UNITS_NM
from putback.tight.words import AUTHORITY, THREAD_FIELD, TORQUE_FIELD, kilonewtons, shown, then_angles, thread


def _thread(given: Fields) -> Told:
    size = thread(given)
    if size is None:
        return Told(says="", answer=Answer(refused="unread", source="-"))
    found = geometry(size)
    lines = [
        Line(name="nominal diameter", value=found.diameter_mm, unit="mm"),
        Line(name="pitch", value=found.pitch_mm, unit="mm"),
        Line(name="pitch diameter", value=found.pitch_diameter_mm, unit="mm"),
        Line(name="minor diameter of the hole (D1)", value=found.hole_minor_mm, unit="mm"),
        Line(name="minor diameter of the bolt (d3)", value=found.bolt_root_mm, unit="mm"),
        Line(name="tensile stress area", value=found.stress_area_mm2, unit="mm2", source=found.source),
    ]
    warnings = []
    try:
        edges = limits(size.name)
    except NotComputable as out:
        warnings.append(out.why)
    else:
        lines += [
            Line(name="least major diameter of the bolt", value=edges.major_min_mm, unit="mm", source=edges.source),
            Line(name="least pitch diameter of the bolt", value=edges.pitch_ext_min_mm, unit="mm"),
            Line(name="greatest minor diameter of the hole", value=edges.minor_int_max_mm, unit="mm"),
            Line(name="greatest pitch diameter of the hole", value=edges.pitch_int_max_mm, unit="mm"),
        ]
    if given.has("mark"):
        bears = proof_load(designation=size, name=given.text("mark"))
        lines += [
            Line(
                name=f"proof load, {bears.strength.name}",
                value=kilonewtons(bears.proof_n),
                unit="kN",
                source=bears.source,
            ),
            Line(name="least breaking load", value=kilonewtons(bears.ultimate_n), unit="kN"),
        ]
        warnings += bears.warnings
    long = "" if size.length_mm is None else f", {size.length_mm:g} mm long"
    coarse = "coarse" if size.coarse else "fine"
    return Told(
        says=f"{size.name}: {found.diameter_mm:.4g} mm, pitch {found.pitch_mm:.4g} mm, {coarse}{long}.",
        answer=Answer(
            value=found.stress_area_mm2, unit="mm2", source=found.source, warnings=tuple(dict.fromkeys(warnings))
        ),
        lines=tuple(lines),
    )


THREAD = Tool(
    name="thread",
    title="A thread read back",
    what="Sizes, limits, stress area and, with the mark on the head, the proof load of a thread.",
    fields=(THREAD_FIELD, Field(name="mark", words="class or grade on the head", like="8.8")),
    answer=_thread,
    authority=AUTHORITY,
)


def _torque(given: Fields) -> Told:
    torque = given.torque("torque")
    if given.faults:
        return Told(says="", answer=Answer(refused="unread", source="-"))
    typed = kept(given.digits("torque"), torque.unit)
    others = tuple(
        Line(name=unit, value=convert(value=torque.value, from_unit=torque.unit, to_unit=unit), unit=unit)
        for unit in TORQUE_UNITS_NM
        if unit != torque.unit
    )
    doubts = tuple(slip.words for slip in slips(torque))
    return Told(
        says=f"{typed if torque.unit != 'N·m' else shown(torque)}.{then_angles(torque)}",
        answer=Answer(value=torque.torque_nm, unit="N·m", source=NIST, warnings=doubts),
        lines=others,
    )


TORQUE = Tool(
    name="torque",
    title="A torque in every unit",
    what="A torque in other units, and which slip of the unit would look right as well.",
    fields=(TORQUE_FIELD,),
    answer=_torque,
    authority=AUTHORITY,
)
