"""One idea: a fastener left over at the end belongs to some joint; what is known of it rules joints out or in.

Each joint is held against thread, length, drive and count, and against the record: what was undone, what came back,
what was renewed. The answer ranks joints and says which evidence is missing; it never says that a joint is right.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum

from putback.core.car import Car, Joint
from putback.core.fasten.answer import NotComputable
from putback.core.fasten.designation import Designation, Question, read_designation
from putback.core.fasten.put_back import Tally, tallies
from putback.core.operations import Operation
from putback.core.quantity import Refused

SAME_LENGTH_MM = 1.0
"""How far a length measured by hand may be off; common practice, no source."""

NUT = "nut"
THREADED = frozenset({"bolt", NUT, "screw", "stud"})

LOOK = "look at the joint and count: this ranking shows where to look first, not where the fastener belongs"
TRAP = "too long a bolt ends at the bottom of its hole before it clamps, too short a one has too little thread"
KEEP = "an old one-time fastener is thrown away, not fitted"


@dataclass(frozen=True, slots=True, kw_only=True)
class Leftover:
    """What is known of the fastener in the hand; None: not known.

    `length_mm` is measured under the head (all of it for a countersunk head), [mm]; `count` how many are left over;
    `kind` such as bolt or nut; `drive` as in the car file, such as hex13.
    """

    thread: Designation | None = None
    length_mm: float | None = None
    drive: str | None = None
    count: int | None = None
    kind: str | None = None

    @property
    def length(self) -> float | None:
        """The length measured, else the one in the thread's designation, [mm]."""
        return self.length_mm if self.length_mm is not None or self.thread is None else self.thread.length_mm


class Standing(Enum):
    """What the record says of a joint, the likeliest home of a leftover first."""

    SHORT = "the record brings back fewer than came out"
    OPEN = "it is still undone, so its fasteners are out"
    OLD = "it got new fasteners, so the old ones are expected to be left over"
    CLOSED = "the record says that all came back"
    UNLOGGED = "no undoing of it is logged"


_ORDER = tuple(Standing)


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """A joint that the fastener may be from.

    `agrees` names what fits (thread, length, drive, count); `missing` says which evidence there is not, each with
    what to do; `short` is how many the record misses, `old` how many old ones are expected to be left over.
    """

    joint: Joint
    standing: Standing
    agrees: tuple[str, ...]
    missing: tuple[str, ...]
    short: int = 0
    old: int = 0
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class RuledOut:
    """A joint that the fastener is not from, and why."""

    joint: Joint
    why: tuple[str, ...]
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Ranking:
    """The joints a leftover may be from, likeliest first; those it is not from; what to beware of."""

    candidates: tuple[Candidate, ...]
    ruled_out: tuple[RuledOut, ...]
    warnings: tuple[str, ...] = (LOOK,)


def joints_it_may_be_from(
    *, found: Leftover, car: Car, operations: Sequence[Operation] = (), planned: Collection[str] = ()
) -> Ranking:
    """Rank the joints that a leftover fastener may be from.

    Args:
        found: what is known of the fastener.
        car: the car with its joints.
        operations: what was done in the job and still stands, in order; empty: no record.
        planned: ids of joints that a plan undoes. With neither record nor plan every joint of the car is asked.

    Returns:
        Joints with more agreeing evidence first; of equals the one the record points to; then the car file's order.

    Raises:
        NotComputable: nothing is known of the fastener, or a length or count is not above 0, or the length measured
            is not the one in the designation.

    Source: common practice, no source.
    """
    _refuse(found)
    tally = tallies(car, operations)
    asked = set(planned) | set(tally)
    candidates: list[Candidate] = []
    ruled_out: list[RuledOut] = []
    for joint in car.joints():
        why = _against(found, joint)
        if asked and joint.id not in asked:
            why = ("it was not undone in this job", *why)
        if why:
            ruled_out.append(RuledOut(joint=joint, why=why, warnings=_trap(found, joint)))
        else:
            candidates.append(_candidate(found, joint, tally.get(joint.id)))
    candidates.sort(key=lambda one: (-len(one.agrees), _ORDER.index(one.standing)))
    return Ranking(candidates=tuple(candidates), ruled_out=tuple(ruled_out), warnings=_warnings(candidates))


def _refuse(found: Leftover) -> None:
    if found == Leftover():
        raise NotComputable("nothing is known of the fastener", "give its thread, length, drive or count")
    if found.length is not None and not found.length > 0:
        raise NotComputable(f"a length of {found.length:g} mm is none", "measure it under the head")
    if found.count is not None and found.count < 1:
        raise NotComputable(f"{found.count} fasteners are none", "count those left over")
    written = found.thread.length_mm if found.thread else None
    if written is not None and found.length_mm is not None and abs(written - found.length_mm) > SAME_LENGTH_MM:
        raise NotComputable(
            f"{found.thread} and a length of {found.length_mm:g} mm do not go together", "measure it again"
        )


def _against(found: Leftover, joint: Joint) -> tuple[str, ...]:
    """Everything that speaks against a joint."""
    why: list[str] = []
    if _same_thread(found, joint) is False:
        has = joint.thread.text if joint.thread else joint.kind
        why.append(f"its thread is {has}" if joint.thread else f"it is held by {joint.kind}, which has no such thread")
    if _same_length(found, joint) is False:
        why.append(
            "its fasteners are nuts, this one has a length"
            if joint.kind == NUT
            else f"its length is {_length(joint):g} mm, this one has {found.length:g} mm"
        )
    if _same_drive(found, joint) is False:
        why.append(f"its drive is {joint.drive}, this one has {found.drive}")
    if found.kind and joint.kind and found.kind.casefold() != joint.kind.casefold():
        why.append(f"it is held by {joint.kind}, this is {found.kind}")
    return tuple(why)


def _same_thread(found: Leftover, joint: Joint) -> bool | None:
    """Whether the fastener goes into the joint's thread; None: not known."""
    if found.thread is None:
        return None
    if joint.thread is None:
        return False if joint.kind and joint.kind.casefold() not in THREADED else None
    return _bare(found.thread.name) in _names(joint.thread.nominal)


def _names(nominal: str) -> set[str]:
    """All full names that a thread of the car file may have, so that M8 and M8x1.25 are one."""
    try:
        said = read_designation(nominal)
    except Refused:
        return {_bare(nominal)}
    names = said.readings if isinstance(said, Question) else (said.name,)
    return {_bare(name) for name in (nominal, *names)}


def _bare(name: str) -> str:
    """A thread's name without its series, which its pitch says too.

    >>> _bare("1/4-20 UNC")
    '1/4-20'
    """
    return name.casefold().partition(" ")[0]


def _length(joint: Joint) -> float | None:
    return joint.thread.length_mm if joint.thread else None


def _same_length(found: Leftover, joint: Joint) -> bool | None:
    """Whether the length is the joint's; None: not known, or a nut, which has none."""
    if found.length is None:
        return None
    if joint.kind == NUT:
        return False
    own = _length(joint)
    return None if own is None else abs(own - found.length) <= SAME_LENGTH_MM


def _same_drive(found: Leftover, joint: Joint) -> bool | None:
    if not found.drive or not joint.drive:
        return None
    return _plain(found.drive) == _plain(joint.drive)


def _plain(drive: str) -> str:
    return "".join(sign for sign in drive.casefold() if sign.isalnum() or sign == ".")


def _candidate(found: Leftover, joint: Joint, tally: Tally | None) -> Candidate:
    standing = _standing(tally)
    short, old = (tally.short, tally.renewed) if tally else (0, 0)
    fits = {
        "thread": _same_thread(found, joint),
        "length": _same_length(found, joint),
        "drive": _same_drive(found, joint),
        "count": found.count == short + old if found.count and short + old else None,
    }
    warnings = [f"{old} old ones are expected to be left over; {KEEP}"] if old else []
    if found.count and found.count > joint.count:
        warnings.append(f"{found.count} are left over and this joint has {joint.count}: they are of several joints")
    return Candidate(
        joint=joint,
        standing=standing,
        agrees=tuple(name for name, fit in fits.items() if fit),
        missing=(*_not_known(found, joint), *_not_counted(found, standing, fits["count"], short + old)),
        short=short,
        old=old,
        warnings=tuple(warnings),
    )


def _standing(tally: Tally | None) -> Standing:
    if tally is None or not tally.undone:
        return Standing.UNLOGGED
    if tally.open:
        return Standing.OPEN
    if tally.short:
        return Standing.SHORT
    return Standing.OLD if tally.renewed else Standing.CLOSED


def _not_known(found: Leftover, joint: Joint) -> list[str]:
    """Which of thread, length and drive nobody has told, and what to do."""
    nut = NUT in (joint.kind, found.kind)
    asked: Mapping[str, tuple[object, object, str]] = {
        "thread": (found.thread, joint.thread, "measure it with a thread gauge"),
        "length": (found.length, True if nut else _length(joint), "measure it under the head"),
        "drive": (found.drive, joint.drive, "try which socket fits"),
    }
    told = []
    for name, (of_found, of_joint, mend) in asked.items():
        if of_found is None and not (nut and name == "length"):
            told.append(f"its {name} is not known; {mend}")
        if of_joint is None:
            told.append(f"the car file gives no {name} for {joint.id}; look at its other fasteners")
    return told


def _not_counted(found: Leftover, standing: Standing, fits: bool | None, expected: int) -> list[str]:
    if found.count is None:
        return ["how many are left over is not told; count them"]
    if standing is Standing.UNLOGGED:
        return ["no undoing is logged; ask whether it was undone all the same"]
    if standing is Standing.CLOSED:
        return ["the record has all of them back; look whether each is in its hole"]
    if fits is False:
        return [f"{found.count} are left over and {expected} are out by the record; count both"]
    return []


def _trap(found: Leftover, joint: Joint) -> tuple[str, ...]:
    """A joint of the same thread and drive but another length: the fastener fits its hole, and must not go there."""
    fits = _same_thread(found, joint) and _same_drive(found, joint) is not False
    if not fits or joint.kind == NUT or _same_length(found, joint) is not False:
        return ()
    return (f"it fits the hole of {joint.id}, but is of another length; {TRAP}",)


def _warnings(candidates: Sequence[Candidate]) -> tuple[str, ...]:
    lengths = {_length(one.joint) for one in candidates if "thread" in one.agrees} - {None}
    if len(lengths) < 2 or any("length" in one.agrees for one in candidates):
        return (LOOK,)
    told = " and ".join(f"{length:g} mm" for length in sorted(length for length in lengths if length is not None))
    return (LOOK, f"this thread comes in {told} here: measure the length first; {TRAP}")
