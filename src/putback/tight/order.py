"""One idea: an order is drawn from where the bolts sit; the maker's own sequence and passes win."""

import re

from putback.core.fasten.angle import angle_run
from putback.core.fasten.answer import Answer, NotComputable
from putback.core.fasten.layout import Point, TighteningOrder, circle, line, order_for, rectangle
from putback.core.fasten.passes import OWN, passes
from putback.core.fasten.tool import Ask, Field, Fields, Layout, Line, Told, Tool
from putback.tight.words import AUTHORITY

_PATTERNS = ("usual", "star", "cross", "spiral", "line")
_COUNTED = {
    "circle": "clockwise from the top",
    "rectangle": "clockwise from the upper left corner",
    "line": "from the left",
}
_NUMBER = r"-?\d+(?:\.\d+)?"
_SHAPES = "circle 8 · line 5 · rectangle 4 3 · or points such as 0,0 80,0 80,60 0,60"


def _points(given: Fields) -> tuple[Point, ...]:
    """Where the bolts sit, from a shape with its counts or from points."""
    text = given.text("bolts").casefold().replace("−", "-")
    words = text.split()
    counts = [int(word) for word in words[1:] if word.isdecimal()]
    if words and words[0] == "circle" and len(counts) == 1 == len(words) - 1:
        return circle(count=counts[0], diameter_mm=100)
    if words and words[0] == "line" and len(counts) == 1 == len(words) - 1:
        return line(count=counts[0], length_mm=100)
    if words and words[0] == "rectangle" and len(counts) == 2 == len(words) - 1:
        return rectangle(
            along=counts[0], across=counts[1], length_mm=40 * (counts[0] - 1), width_mm=40 * (counts[1] - 1)
        )
    pairs = [re.fullmatch(rf"({_NUMBER}),({_NUMBER})", word) for word in re.split(r"[\s;]+", text) if word]
    if pairs and all(pairs):
        return tuple((float(pair[1]), float(pair[2])) for pair in pairs if pair)
    given.faults.append(f"bolts={given.text('bolts')!r} is no layout; write {_SHAPES}")
    return ()


def _numbers(given: Fields, name: str, *, like: str, written: str) -> tuple[float, ...]:
    """The numbers of a list such as `1 3 2 4`, each written so; blanks, commas, strokes and dashes part them."""
    words = re.split(r"[\s,/-]+", given.text(name))
    wrong = [word for word in words if not re.fullmatch(written, word)]
    given.faults += [f"{name}: {word!r} cannot stand here; write such as {like}" for word in wrong]
    return () if wrong else tuple(map(float, words))


def _order(given: Fields) -> Told:
    points = _points(given)
    makers = (
        [int(one) for one in _numbers(given, "maker", like="1 3 2 4", written=r"[0-9]{1,4}")]
        if given.has("maker")
        else None
    )
    own = _numbers(given, "passes", like="30 60 100", written=r"[0-9]{1,4}(\.[0-9]+)?") if given.has("passes") else ()
    torque = given.torque("torque") if given.has("torque") else None
    pattern = given.choice("pattern")
    if given.faults:
        return Told(says="", answer=Answer(refused="unread", source="-"))
    if len(points) > 200:
        raise NotComputable(f"{len(points)} bolts are more than a joint has", "ask for one joint")
    told = order_for(points, pattern=None if pattern == "usual" else pattern, makers=makers)
    lines, warnings = [Line(name="loosen", value="-".join(str(at + 1) for at in told.loosening))], list(told.warnings)
    if torque is not None and torque.angles_deg:
        run = angle_run(torque=torque, order=told.order, own_percent=own)
        given_by = OWN if own else ""
        lines += [
            Line(name=f"step {step.number}", value=step.text.partition(": ")[2], source=given_by) for step in run.steps
        ]
        warnings += run.warnings
    elif torque is not None:
        found = passes(torque=torque, order=told.order, own_percent=own)
        lines += [
            Line(name=one.text.partition(": ")[0], value=one.text.partition(": ")[2], source=found.source)
            for one in found.passes
        ]
        warnings += found.warnings
    return Told(
        says=f"Tighten bolts {told.text}, counted {_counted(given.text('bolts'))}.",
        answer=Answer(value=told.text, source=told.source, warnings=tuple(dict.fromkeys(warnings))),
        lines=tuple(lines),
        layout=_layout(told),
    )


def _counted(bolts: str) -> str:
    """How the bolts of a layout are numbered, so that a hand finds number 5."""
    shape = bolts.casefold().partition(" ")[0]
    return _COUNTED.get(shape, "as they were given")


def _layout(told: TighteningOrder) -> Layout:
    return Layout(points=told.points, order=told.order, words=f"{told.pattern} order, {told.source}")


ORDER = Tool(
    name="order",
    title="Order of tightening",
    what="In which order and passes the bolts of a joint are tightened and loosened, drawn.",
    fields=(
        Field(name="bolts", words="where they sit", like="circle 8", needed=True),
        Field(name="torque", words="torque, with angles if any", like="24 N·m", ask=Ask.TORQUE),
        Field(name="pattern", words="pattern", like="star", ask=Ask.CHOICE, of=_PATTERNS, usual="usual"),
        Field(name="maker", words="the maker's own sequence, by number", like="1 3 2 4"),
        Field(name="passes", words="the source's own passes", like="50 100", unit="%"),
    ),
    answer=_order,
    authority=AUTHORITY,
    draws=True,
)
