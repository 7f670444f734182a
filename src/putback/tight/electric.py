"""One idea: gloves, meter and arithmetic inform; the wait is the maker's, and a measurement decides."""

from putback.core.fasten.answer import Answer, NotComputable
from putback.core.fasten.electrical import discharge
from putback.core.fasten.gloves import Current, class_to_use, gloves_for, meter_for
from putback.core.fasten.isolation import isolation
from putback.core.fasten.tool import Ask, Field, Fields, Line, Told, Tool
from putback.tight.words import AUTHORITY_VOLTS, TODAY

_VOLTS = Field(
    name="volts", words="highest voltage that can be there", like="400", unit="V", ask=Ask.NUMBER, above=0, needed=True
)
_CURRENT = Field(name="current", words="current", like="dc", ask=Ask.CHOICE, of=tuple(Current), usual="dc")
_GLOVES = "ASTM D120 / IEC 60903 classes; 29 CFR 1910.137 test dates; the stricter counts"


def _gloves(given: Fields) -> Told:
    volts, current = given.number("volts"), Current(given.choice("current"))
    maker = given.text("maker-class") or None
    tested = given.day("tested") if given.has("tested") else None
    if given.has("tested") and not given.has("glove-class"):
        given.faults.append("glove-class is missing: the class on the gloves, to judge them by; such as 0")
    if given.faults:
        return Told(says="", answer=Answer(refused="unread", source="-"))
    wanted = class_to_use(voltage_v=volts, current=current, maker_class=maker)
    lines = [
        Line(name="least class by the standard", value=wanted.by_standard),
        Line(name="class to use", value=wanted.to_use),
    ]
    says, warnings = f"Gloves of class {wanted.to_use} at least, for {volts:g} V {current}.", list(wanted.why)
    if given.has("glove-class"):
        day = given.day("day")
        if day is None:
            return Told(says="", answer=Answer(refused="unread", source="-"))
        fit = gloves_for(
            voltage_v=volts,
            current=current,
            glove_class=given.text("glove-class"),
            tested_on=tested,
            day=day,
            maker_class=maker,
        )
        says += (
            " These may not be used: " + "; ".join(fit.reasons) + "."
            if fit.reasons
            else " Nothing speaks against these."
        )
        warnings += fit.reasons
        lines += [Line(name="judged on", value=str(day))]
        lines += [Line(name="before each use", value=one) for one in fit.before_use]
    return Told(
        says=says,
        answer=Answer(value=wanted.to_use, unit="class", source=_GLOVES, warnings=tuple(warnings)),
        lines=tuple(lines),
    )


GLOVES = Tool(
    name="gloves",
    title="Gloves for a voltage",
    what="Which class of insulating gloves a voltage asks for, and whether a pair is in date.",
    fields=(
        _VOLTS,
        _CURRENT,
        Field(name="maker-class", words="class that the vehicle's maker publishes", like="0"),
        Field(name="glove-class", words="class on the gloves", like="0"),
        Field(name="tested", words="their last electrical test", like="2026-05-01", ask=Ask.DATE),
        TODAY,
    ),
    answer=_gloves,
    authority=AUTHORITY_VOLTS,
)


def _meter(given: Fields) -> Told:
    volts, rated = given.number("volts"), given.number("rated")
    category = given.text("category").upper().removeprefix("CAT").strip()
    fit = meter_for(voltage_v=volts, category=category, rated_v=rated)
    said = f"Not this meter: {'; '.join(fit.reasons)}." if fit.reasons else "Nothing speaks against this meter."
    return Told(
        says=said,
        answer=Answer(
            value="no" if fit.reasons else "yes",
            source="measurement categories IEC 61010-2-030 (from memory); category III and rated for the voltage: "
            "common practice, no source",
            warnings=fit.reasons,
        ),
        lines=tuple(Line(name="before each use", value=one) for one in fit.before_use),
    )


METER = Tool(
    name="meter",
    title="Meter for a voltage",
    what="Whether a meter's category and rating go with a voltage.",
    fields=(
        _VOLTS,
        Field(name="category", words="category as printed", like="III", needed=True),
        Field(
            name="rated", words="rated voltage beside it", like="1000", unit="V", ask=Ask.NUMBER, above=0, needed=True
        ),
    ),
    answer=_meter,
    authority=AUTHORITY_VOLTS,
)


def _discharge(given: Fields) -> Told:
    told = discharge(
        resistance_ohm=given.number("ohms"),
        capacitance_f=given.number("farads"),
        start_v=given.number("volts"),
        target_v=given.number("down-to"),
        wait_minutes=given.number("wait") if given.has("wait") else None,
        wait_source=given.text("source") or None,
    )
    left = (
        ()
        if told.left_after_wait_v is None
        else (Line(name="left after that wait", value=told.left_after_wait_v, unit="V"),)
    )
    wait = f"{told.wait_says[0].upper()}{told.wait_says[1:]}"
    return Told(
        says=f"{wait}. Arithmetic only: {told.time_s:.3g} s to {told.target_v:g} V.",
        answer=Answer(value=told.time_s, unit="s", source=told.source, warnings=told.warnings),
        lines=(Line(name="energy at the start", value=told.energy_j, unit="J"), *left),
    )


DISCHARGE = Tool(
    name="discharge",
    title="Capacitor over its bleed resistor",
    what="What a capacitor ought to do by arithmetic. Never a wait: a resistor may be open; measure.",
    fields=(
        _VOLTS,
        Field(name="farads", words="capacitance", like="0.001", unit="F", ask=Ask.NUMBER, above=0, needed=True),
        Field(name="ohms", words="discharge resistor", like="50000", unit="ohm", ask=Ask.NUMBER, above=0, needed=True),
        Field(name="down-to", words="down to", like="60", unit="V", ask=Ask.NUMBER, above=0, usual="60"),
        Field(name="wait", words="the maker's wait", like="10", unit="min", ask=Ask.NUMBER, above=0),
        Field(name="source", words="where that wait is published", like="maker's manual, p. 3"),
    ),
    answer=_discharge,
    authority=AUTHORITY_VOLTS,
)

_BUSES = {"dc": 100.0, "ac": 500.0, "both": 500.0}


def _isolation(given: Fields) -> Told:
    if given.has("maker-limit") and not given.has("source"):
        raise NotComputable("the maker's limit has no source", "name the publication and its page, or leave both out")
    told = isolation(
        measured_ohm=given.number("measured"),
        voltage_v=given.number("volts"),
        ohm_per_volt=_BUSES[given.choice("bus")],
        maker_limit_ohm=given.number("maker-limit") if given.has("maker-limit") else None,
        maker_source=given.text("source") or None,
    )
    return Told(
        says=f"{told.says}.",
        answer=Answer(value=told.asked_ohm, unit="ohm", source=told.source, warnings=told.warnings),
        lines=(
            Line(name="measured", value=told.measured_ohm, unit="ohm"),
            Line(name="floor of the type approval", value=told.floor_ohm, unit="ohm"),
        ),
    )


ISOLATION = Tool(
    name="isolation",
    title="Isolation resistance",
    what="A measured isolation resistance beside the maker's limit, or else the floor of the type approval.",
    fields=(
        _VOLTS,
        Field(name="measured", words="measured", like="400000", unit="ohm", ask=Ask.NUMBER, above=0, needed=True),
        Field(name="bus", words="bus", like="dc", ask=Ask.CHOICE, of=tuple(_BUSES), usual="both"),
        Field(name="maker-limit", words="the maker's limit", like="500000", unit="ohm", ask=Ask.NUMBER, above=0),
        Field(name="source", words="where that limit is published", like="maker's manual, p. 8"),
    ),
    answer=_isolation,
    authority=AUTHORITY_VOLTS,
)
