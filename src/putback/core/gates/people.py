"""One idea: who stands there, in which gloves, with which keys locked away, is asked before each such operation.

Each check looks for one event that says what is asked and that nothing since has ended. More such events never hurt.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from putback.core.car import Energy
from putback.core.gates.case import Case, Fact, Moment, time_of
from putback.core.gates.gate import Gate, GateKind
from putback.core.gates.later import first_since, latest_known
from putback.core.gates.settings import GLOVE_VOLTS
from putback.core.gates.sitting import ended, other_day
from putback.core.record.kinds import (
    BOUNDARY_SET,
    CHARGE_LEAD_PLUGGED,
    GLOVE_CLASSES,
    GLOVES_CHECKED,
    GRADE_SHOWN,
    KEY_MOVED,
    KEYS_COUNTED,
    SECOND_PERSON_NAMED,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """Which of these an energy asks for."""

    who: bool
    gloves: bool
    keys: bool
    second: bool
    boundary: bool


def asked_by(case: Case, energy: Energy) -> Asked:
    """What an energy asks of who operates it, proves it, and works on what needs it gone."""
    own = is_personal(case, energy)
    return Asked(
        who=own or energy.who is not None,
        gloves=asks_gloves(case, energy),
        keys=own or any("memory saver" in text.lower() for text in energy.forbid),
        second=energy.attended,
        boundary=own,
    )


def is_personal(case: Case, energy: Energy) -> bool:
    """Whether an energy is one person's affair: it is operated, or it asks for a grade, a second person or gloves."""
    return bool(energy.item or energy.who or energy.attended or energy.lock) or asks_gloves(case, energy)


def asks_gloves(case: Case, energy: Energy) -> bool:
    """Whether an energy asks for insulating gloves: by its volts, or, where none are given, by how it is proved."""
    if energy.id in case.settings.maker_gloves:
        return True
    if energy.volts is not None:
        return not energy.volts <= case.settings.gloves_above_volts
    return bool(energy.proof and energy.proof.points)


def people_gates(case: Case, energy: Energy, moment: Moment) -> Iterator[Gate]:
    """The gates of one energy that ask about people, gloves, keys and place."""
    yield from case.once_at(moment, ("people", energy.id), lambda: tuple(_people(case, energy, moment)))


def _people(case: Case, energy: Energy, moment: Moment) -> Iterator[Gate]:
    asked = asked_by(case, energy)
    if asked.who:
        yield who_gate(case, energy, moment)
    if asked.gloves:
        yield gloves_gate(case, energy, moment)
    if asked.keys:
        yield keys_gate(case, energy, moment)
    if asked.second:
        yield second_gate(case, energy, moment)
    if asked.boundary:
        yield boundary_gate(case, energy, moment)


def _of(case: Case, moment: Moment, kind: str) -> tuple[Fact, ...]:
    return case.of_kind(kind, case.count(moment))


def who_gate(case: Case, energy: Energy, moment: Moment) -> Gate:
    """A named person; with the grade that the car file asks for, in date."""
    kind, wanted, person = GateKind.WHO, energy.who, moment.person
    if person is None:
        return Gate(kind=kind, energy=energy.id, open=False, why="nobody is named", opens="say who does it")
    if wanted is None:
        return Gate(kind=kind, energy=energy.id, open=True, why=f"{case.who(person)} does it")
    accepted = {_plain(wanted), *map(_plain, case.settings.accepted_grades.get(wanted, ()))}
    shown = [one for one in _of(case, moment, GRADE_SHOWN) if one.says("who") == person]
    matching = [one for one in shown if one.stands and _plain(one.says("grade")) in accepted]
    for one in matching:
        if date.fromisoformat(one.says("expires")) >= today(case, moment):
            why = f"{case.who(person)}: {one.says('grade')}, {one.says('issuer')}, until {one.says('expires')}"
            return Gate(kind=kind, energy=energy.id, open=True, why=why)
    opens = f"show the grade {wanted!r} of {case.who(person)}, with issuer and expiry"
    why = f"{case.who(person)} has shown no {wanted!r}"
    if matching:
        why = f"{case.who(person)}: {wanted} ended on {matching[-1].says('expires')}"
    elif shown:
        why = f"{case.who(person)} has shown {shown[-1].says('grade')!r}, asked is {wanted!r}"
    return Gate(kind=kind, energy=energy.id, open=False, why=why, opens=opens)


def today(case: Case, moment: Moment) -> date:
    """The day on which expiries are held against, in the caller's offset."""
    return latest_known(case, moment).astimezone(moment.at.tzinfo).date()


def _plain(text: object) -> str:
    return " ".join(str(text).lower().split())


def gloves_gate(case: Case, energy: Energy, moment: Moment) -> Gate:
    """Gloves of the right class, tested in date, blown up today by who wears them."""
    kind, person = GateKind.GLOVES, moment.person or ""
    wanted, basis = glove_class(case, energy)
    volts = f" for {energy.volts:g} V" if energy.volts is not None else ""
    opens = f"check gloves of class {wanted} or higher ({basis}){volts}: serial, electrical test, air test today"
    why = f"no gloves were checked for {case.who(person) if person else 'anybody'}"
    for one in _of(case, moment, GLOVES_CHECKED):
        if one.says("who") != person:
            continue
        wrong = _gloves_wrong(case, energy, one, moment)
        if wrong is None:
            why = f"class {one.says('class')} ({basis}), serial {one.says('serial')}, tested {one.says('tested')}"
            return Gate(kind=kind, energy=energy.id, open=True, why=why)
        why = f"gloves {one.says('serial')}: {wrong}"
    return Gate(kind=kind, energy=energy.id, open=False, why=why, opens=opens)


def glove_class(case: Case, energy: Energy) -> tuple[str, str]:
    """The least class of gloves for an energy, and where that comes from."""
    maker = case.settings.maker_gloves.get(energy.id)
    return (maker.glove_class, f"maker's class, {maker.source}") if maker else ("0", "common practice class 0")


def _gloves_wrong(case: Case, energy: Energy, check: Fact, moment: Moment) -> str | None:
    """What is wrong with a check of gloves at a moment."""
    if not check.stands:
        return "the check is incomplete or was taken back"
    return (
        _class_wrong(case, energy, str(check.says("class")))
        or _test_wrong(case, check, today(case, moment))
        or _air_wrong(case, check, moment)
        or _failed_since(case, check, moment)
        or ended(case, check, {str(check.says("who"))}, moment)
    )


def _class_wrong(case: Case, energy: Energy, found: str) -> str | None:
    if GLOVE_CLASSES.index(found) < GLOVE_CLASSES.index(glove_class(case, energy)[0]):
        return f"class {found} is too low"
    if energy.volts is not None and energy.volts > GLOVE_VOLTS[found]:
        return f"class {found} is for {GLOVE_VOLTS[found]:g} V, here are {energy.volts:g} V"
    return None


def _test_wrong(case: Case, check: Fact, today: date) -> str | None:
    tested = date.fromisoformat(check.says("tested"))
    if tested > check.at.date() or tested > today:
        return f"their electrical test is dated {tested}, which is still to come"
    if today >= months_after(tested, case.settings.glove_test_months):
        return f"their electrical test of {tested} is {case.settings.glove_test_months} months old or more"
    return None


def _air_wrong(case: Case, check: Fact, moment: Moment) -> str | None:
    air = time_of(check.says("air_test_at"))
    tolerance = timedelta(seconds=case.settings.clock_seconds)
    if check.says("air_test") != "held":
        return "the air test failed"
    if air > check.at + tolerance:
        return "the air test is dated later than its own line"
    if air.astimezone(check.at.tzinfo).date() != check.at.date() or other_day(case, check, moment):
        return "the air test is not of today"
    return None


def _failed_since(case: Case, check: Fact, moment: Moment) -> str | None:
    """Whether the same gloves, or gloves of the same person, failed an air test later."""

    def says(fact: Fact) -> str | None:
        same = fact.says("serial") == check.says("serial") or fact.says("who") == check.says("who")
        failed = fact.kind == GLOVES_CHECKED and same and fact.says("air_test") != "held"
        return "a later air test failed" if failed else None

    return first_since(case, "air test", check, case.count(moment), says)


def months_after(day: date, months: int) -> date:
    """The day so many months later; the last of the month where that month is shorter.

    >>> months_after(date(2026, 8, 31), 6)
    datetime.date(2027, 2, 28)
    """
    years, month = divmod(day.month - 1 + months, 12)
    first = date(day.year + years, month + 1, 1)
    following = date(first.year + first.month // 12, first.month % 12 + 1, 1)
    return first.replace(day=min(day.day, (following - timedelta(days=1)).day))


def keys_gate(case: Case, energy: Energy, moment: Moment) -> Gate:
    """Every key in the lock box, the charge lead out, no remote start, no memory saver, and a holder named."""
    kind = GateKind.KEYS
    opens = "count: every key in the box and its holder, charge lead out, no remote start, no memory saver"
    why = "keys and charge lead were not counted"
    for one in _of(case, moment, KEYS_COUNTED):
        wrong = _keys_wrong(case, one, moment)
        if wrong is None:
            why = (
                f"{one.says('in_box'):g} of {one.says('of'):g} keys in the box, held by {case.who(one.says('holder'))}"
            )
            return Gate(kind=kind, energy=energy.id, open=True, why=why)
        why = wrong
    return Gate(kind=kind, energy=energy.id, open=False, why=why, opens=opens)


def _keys_wrong(case: Case, count: Fact, moment: Moment) -> str | None:
    """What is wrong with a count of keys at a moment."""
    if not count.stands:
        return "the count is incomplete or was taken back"
    mended = case.mended_at
    counts = [one for one in _of(case, moment, KEYS_COUNTED) if mended.get(one.event.id, count.place) >= count.place]
    known = max(whole(fact.says("of")) for fact in counts)
    wrong = bad_count(count, known)
    if wrong:
        return wrong
    key, upto = ("keys", known), case.count(moment)
    why = first_since(case, key, count, upto, lambda fact: keys_disturbed(fact, known))
    return why or ended(case, count, {str(count.says("holder"))}, moment)


def whole(value: object) -> float:
    """A count as a number; what is none counts as nothing."""
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else 0.0


def bad_count(count: Fact, known: float) -> str | None:
    """Whether a count itself leaves something out; `known` is the most keys that any count spoke of."""
    inside, of = whole(count.says("in_box")), max(whole(count.says("of")), known)
    if not inside or inside != of or count.says("in_box") != count.says("of"):
        return f"{inside:g} of {of:g} keys in the lock box"
    if count.says("charge_lead") != "out":
        return "the charge lead is in"
    for name in ("remote_starts", "memory_savers"):
        if count.says(name) != 0:
            return f"{whole(count.says(name)):g} {name.replace('_', ' ')} left"
    return None


def keys_disturbed(fact: Fact, known: float | None = None) -> str | None:
    """Whether an event says that keys or charge lead are not as they were counted."""
    if fact.kind == KEY_MOVED:
        return "a key was moved since they were counted"
    if fact.kind == CHARGE_LEAD_PLUGGED:
        return "the charge lead was plugged in since they were counted"
    if fact.kind == KEYS_COUNTED:
        return bad_count(fact, whole(fact.says("of")) if known is None else known)
    return None


def second_gate(case: Case, energy: Energy, moment: Moment) -> Gate:
    """A second person, named, who is not the one at work and has not left."""
    kind, why = GateKind.SECOND_PERSON, "no second person is named"
    for one in _of(case, moment, SECOND_PERSON_NAMED):
        who = str(one.says("who"))
        if not one.stands:
            why = "the second person's name is missing or was taken back"
        elif who == moment.person:
            why = f"{case.who(who)} cannot stand by for {case.who(who)}"
        else:
            over = ended(case, one, {who}, moment)
            if over is None:
                return Gate(kind=kind, energy=energy.id, open=True, why=f"{case.who(who)} stands by")
            why = f"{case.who(who)} stood by, but {over}"
    return Gate(kind=kind, energy=energy.id, open=False, why=why, opens="name who stands by")


def boundary_gate(case: Case, energy: Energy, moment: Moment) -> Gate:
    """The car closed off and signed, in this sitting."""
    kind, why = GateKind.BOUNDARY, "no boundary was set round the car"
    for one in _of(case, moment, BOUNDARY_SET):
        over = ended(case, one, {str(one.says("who"))}, moment) if one.stands else "it is incomplete or was taken back"
        if over is None:
            return Gate(kind=kind, energy=energy.id, open=True, why=f"set by {case.who(one.says('who'))}")
        why = f"the boundary was set, but {over}"
    opens = "close the car off, sign it with name and telephone, and log it"
    return Gate(kind=kind, energy=energy.id, open=False, why=why, opens=opens)


def people_shut(case: Case, energy: Energy, moment: Moment) -> Gate | None:
    """The first gate without any override that was shut at a moment, keys, gloves and second person included."""
    found = people_gates(case, energy, moment)
    return next((gate for gate in found if not gate.open and gate.kind is not GateKind.BOUNDARY), None)
