"""One idea: what was not heard to go back is asked; not heard is not the same as not done.

What is owed at the end is the state of the job, folded by `putback.core.job` as for a plan or a job in the bay: the
operations of a narration become operations of things that are numbered by the line that took them off.
"""

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from putback.core.job import JobState, Seat, fold
from putback.core.operations import ITEM_OFF, TWIN, Operation, Verb
from putback.narrate.lines.aliases import NO_ALIASES, Aliases, means_vehicle, words_of_name
from putback.narrate.lines.for_one_time import never_renewed
from putback.narrate.lines.said import SCANS, Said
from putback.narrate.lines.twins import Link
from putback.narrate.lines.undone_too import said_again
from putback.narrate.lines.used_again import head_of, used_again
from putback.narrate.words.lexicon import ACROSS

_TURNED: Final = frozenset({"bolt", "nut", "screw", "stud"})
_SCREWED_PLUGS: Final = frozenset({"drain", "fill", "filler", "sump", "level", "oil", "bleed"})
"""The plug of such a name is screwed in, and tightened to a value; others are electrical."""
_WAY_IN: Final = ITEM_OFF | {Verb.UNDO, Verb.DRAIN, Verb.ISOLATE, Verb.GUARD, Verb.RAISE}
_PUTS_BACK: Final = frozenset({Verb.FIT, Verb.START, Verb.PLUG_IN, Verb.JOIN, Verb.SWING_BACK, Verb.UNFOLD})
_NOT_HEARD: Final = "not heard"
_HIGH_VOLTAGE_NAME: Final = re.compile(
    r"\b(service|safety|maintenance|orange|yellow|manual|high[- ]voltage|hv|traction|interlock)\b"
)
_HIGH_VOLTAGE_TEXT: Final = re.compile(
    r"\b(hybrid|high[- ]voltage|electric (car|vehicle|van)|orange (plug|cables?)|inverter)\b",
    re.IGNORECASE,
)
_NOT_TIGHT: Final = re.compile(
    r"^[\s.,;]{1,3}(didn't|not|never|haven't|hasn't been) (yet )?(torq|tight|done up)", re.IGNORECASE
)
_RIGHT_AFTER: Final = 24
_GOES_ON: Final = frozenset({Verb.START, Verb.RESTORE, Verb.FIT})
_OPENS: Final = frozenset({Verb.UNPLUG, Verb.REMOVE, Verb.PART, Verb.UNDO})
_FEW: Final = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A question until a person has answered it. `operation` is the number of the line that it is about."""

    kind: str
    text: str
    operation: int | None = None


@dataclass(frozen=True, kw_only=True)
class Account:
    """All that was heard: the operations with their twins, the words, and whether the car has high voltage.

    `high_voltage` None: nobody said, so the words decide.
    """

    said: Sequence[Said]
    text: str = ""
    links: Sequence[Link] = ()
    aliases: Aliases = NO_ALIASES
    high_voltage: bool | None = None

    @cached_property
    def again(self) -> frozenset[int]:
        """The operations that were not told one by one, but as the same again on the other side."""
        return said_again(self.said)

    @cached_property
    def by_number(self) -> Mapping[int, Said]:
        """Each operation by its number."""
        return {one.n: one for one in self.said}

    @cached_property
    def way_back(self) -> Mapping[int, tuple[Said, ...]]:
        """For each operation of the way in, those that undo it."""
        found: dict[int, list[Said]] = {}
        for one in self.said:
            for n in undone_by(one):
                found.setdefault(n, []).append(one)
        return {n: tuple(ones) for n, ones in found.items()}

    @cached_property
    def end(self) -> JobState:
        """The state of the job after all that was heard."""
        return fold(as_operations(self))

    @property
    def has_high_voltage(self) -> bool:
        """Whether the car has high voltage, as far as anybody knows; what was isolated was there, whoever says no."""
        if any(one.verb is Verb.ISOLATE and is_high_voltage(one) for one in self.said):
            return True
        if self.high_voltage is not None:
            return self.high_voltage
        return bool(_HIGH_VOLTAGE_TEXT.search(self.text))


def undone_by(one: Said) -> tuple[int, ...]:
    """The numbers of all operations that this one undoes."""
    return one.also if one.twin is None else (one.twin, *one.also)


def is_high_voltage(one: Said) -> bool:
    """Whether an operation is on a plug or handle of the high voltage, by its name."""
    return bool(_HIGH_VOLTAGE_NAME.search(one.object.lower()))


def as_operations(account: Account) -> list[Operation]:
    """What was said as operations of numbered things; what has no twin and undoes nothing is left out."""
    found: list[Operation] = []
    for one in account.said:
        if _moved_on(one, account):
            continue
        for root in _roots(one, account):
            verb = _verb_for(one, root)
            if verb is not None:
                found.append(_operation(len(found) + 1, verb, root, one))
    return found


def _roots(one: Said, account: Account) -> Iterator[Said]:
    """What an operation is done to, as the operation that took it off: its own on the way in, else its twins."""
    if one.verb in _WAY_IN:
        yield one
        return
    for n in undone_by(one):
        if n in account.by_number:
            yield account.by_number[n]


def _operation(n: int, verb: Verb, root: Said, one: Said) -> Operation:
    thing = str(root.n)
    return Operation(
        n=n,
        verb=verb,
        item=thing if root.verb in ITEM_OFF else None,
        joint=thing if root.verb is Verb.UNDO else None,
        energy=thing if root.verb is Verb.ISOLATE else None,
        fluid=thing if root.verb is Verb.DRAIN else None,
        guard=thing if root.verb is Verb.GUARD else None,
        zone=thing if root.verb is Verb.RAISE else None,
        count=one.count if root.verb is Verb.UNDO else None,
    )


def _verb_for(one: Said, root: Said) -> Verb | None:
    """What an operation is for the thing it undoes: "put the bolts back" starts them, a tightened lead is tight."""
    if one is root:
        return one.verb
    if root.verb is Verb.UNDO:
        return Verb.TIGHTEN if one.verb is Verb.TIGHTEN else Verb.START
    if one.verb is Verb.TIGHTEN and root.verb is not Verb.REMOVE:
        return None
    return TWIN[root.verb]


def _moved_on(one: Said, account: Account) -> bool:
    """Whether something is laid aside that is off already, or whose energy is: it goes back with that."""
    if one.verb is not Verb.SWING_ASIDE:
        return False
    words = set(words_of_name(account.aliases.named(one.object)))
    if one.n in account.way_back:
        return False
    before = [other for other in account.said if other.n < one.n and other.verb in _WAY_IN]
    if before and before[-1].verb is Verb.ISOLATE:
        return True
    return any(other.verb in ITEM_OFF and words == set(words_of_name(other.object)) for other in before)


def questions(account: Account) -> tuple[Asked, ...]:
    """Everything that is to be asked, in the order of the lines."""
    asked = [question for rule in _RULES for question in rule(account)]
    return tuple(sorted(asked, key=lambda one: (one.operation is None, one.operation or 0)))


def _renewed(one: Said, account: Account) -> bool:
    """Whether a part of the same kind was renewed later: a seal for a seal, and no plug's washer for a plug."""
    kind = words_of_name(one.object)[-1:]
    later = (other for other in account.said if other.verb is Verb.RENEW and other.n > one.n)
    return any(kind and words_of_name(other.object)[-1:] == kind for other in later)


def _one_side_only(account: Account) -> Iterator[Asked]:
    """Two plugs were pulled, or two bungs put in, and one was heard to go back, by its side or its number."""
    kinds = {Verb.UNPLUG: ("never_plugged_in", "plugged back in"), Verb.GUARD: ("guard_left", "taken out again")}
    for one in account.said:
        back = account.way_back.get(one.n, ())
        told = all(other.count is not None or set(words_of_name(other.object)) & ACROSS for other in back)
        heard = sum(other.count or 1 for other in back)
        if one.verb in kinds and one.count is not None and back and told and heard < one.count:
            kind, ask = kinds[one.verb]
            text = f"{one.object}: {heard} of {one.count} heard to be {ask}; and the others?"
            yield Asked(kind=kind, operation=one.n, text=text)


def _some_loose(account: Account) -> Iterator[Asked]:
    """Two were slackened, and one was heard to be tight again."""
    for one in account.said:
        back = [other for other in account.way_back.get(one.n, ()) if other.verb is Verb.TIGHTEN]
        tight = [other.count for other in back if other.count is not None]
        if not one.slackened or one.count is None or len(tight) != len(back) or not 0 < sum(tight) < one.count:
            continue
        text = f"{one.object}: {one.count} slackened, {sum(tight)} heard to be tight again; and the others?"
        yield Asked(kind="loosened_never_tightened", operation=one.n, text=text)


def _said_loose(account: Account) -> Iterator[Asked]:
    """`Negative on. Didn't torque it.`: what the speaker says was left so."""
    for one in account.said:
        after = account.text[one.end : one.end + _RIGHT_AFTER] if one.verb in _GOES_ON else ""
        if _NOT_TIGHT.search(after):
            text = f"{one.object}: said not to be tight; tightened since?"
            yield Asked(kind="loosened_never_tightened", operation=one.n, text=text)


def _never_back(account: Account) -> Iterator[Asked]:
    words = {
        Seat.UNPLUGGED: ("never_plugged_in", "plugged back in?"),
        Seat.PARTED: ("never_plugged_in", "connected again?"),
    }
    for thing, seat in account.end.items.items():
        one = account.by_number[int(thing)]
        if seat is Seat.IN_PLACE or _renewed(one, account):
            continue
        kind, ask = words.get(seat, ("never_put_back", "put back?"))
        yield Asked(kind=kind, operation=one.n, text=f"{one.object}: {ask} {_NOT_HEARD}")
    for joint, seat in account.end.joints.items():
        one = account.by_number[int(joint)]
        if seat is Seat.UNDONE:
            kind = "loosened_never_tightened" if one.slackened else "never_put_back"
            ask = "tightened again?" if one.slackened else "put back?"
            yield Asked(kind=kind, operation=one.n, text=f"{one.object}: {ask} {_NOT_HEARD}")


def _lifts(account: Account) -> Iterator[Asked]:
    """What was raised last and not heard lowered after it; asked once of a thing, however often it was raised."""
    raised = {_named(one, account): one for one in account.said if one.verb is Verb.RAISE and one.twin is None}
    for name, one in raised.items():
        later = (other for other in account.said if other.verb is Verb.LOWER and other.n > one.n)
        if not any(_is_down(other, name, account) for other in later):
            text = f"{one.object or 'vehicle'}: lowered again? {_NOT_HEARD}"
            yield Asked(kind="never_put_back", operation=one.n, text=text)


def _let_down(account: Account) -> Iterator[Asked]:
    """A subframe or a tank that was let down and not heard to go up again."""
    for one in account.said:
        down = one.verb is Verb.LOWER and one.twin is None and _named(one, account)
        if down and one.n not in account.way_back:
            yield Asked(kind="never_put_back", operation=one.n, text=f"{one.object}: raised again? {_NOT_HEARD}")


def _is_down(one: Said, name: frozenset[str], account: Account) -> bool:
    """Whether a lowering is of what has this name; one that belongs to nothing else may be."""
    if one.twin is None or _named(one, account) == name:
        return True
    return _named(account.by_number[one.twin], account) == name


def _named(one: Said, account: Account) -> frozenset[str]:
    """The words of a name; the vehicle, an end or a side of it are all one, and so is what has no name."""
    words = words_of_name(account.aliases.named(one.object))
    return frozenset() if means_vehicle(words) else frozenset(words)


def _energies(account: Account) -> Iterator[Asked]:
    for thing, seat in account.end.energies.items():
        if seat is not Seat.LIVE:
            one = account.by_number[int(thing)]
            yield Asked(
                kind="isolation_never_restored", operation=one.n, text=f"{one.object}: connected again? {_NOT_HEARD}"
            )


def _guards(account: Account) -> Iterator[Asked]:
    out = {one.twin for one in account.said if one.verb is Verb.UNGUARD}
    for one in account.said:
        if one.verb is Verb.GUARD and one.n not in out:
            yield Asked(kind="guard_left", operation=one.n, text=f"{one.object}: cover taken out again? {_NOT_HEARD}")


def _counts(account: Account) -> Iterator[Asked]:
    """What came off and what was heard to go back, counted over all that the same words put back."""
    asked: set[frozenset[int]] = set()
    numbers = _came_off(account)
    for one in account.said:
        if one.verb not in _WAY_IN or one.n not in numbers:
            continue
        heard = account.way_back.get(one.n, ())
        back = [other for other in heard if other.verb in _PUTS_BACK] or [
            other for other in heard if other.verb is Verb.TIGHTEN
        ]
        together = _together(one, back, account)
        off, counts = [numbers.get(n) for n in together], [other.count for other in back]
        if not back or None in off or None in counts or together in asked:
            continue
        asked.add(together)
        came_off, went_back = (sum(count or 0 for count in each) for each in (off, counts))
        if came_off != went_back:
            text = f"{one.object}: {came_off} came off, {went_back} heard to go back; where are the others?"
            if went_back > came_off:
                text = f"{one.object}: {came_off} heard to come off, {went_back} went back; which is right?"
            yield Asked(kind="count_mismatch", operation=one.n, text=text)


def _came_off(account: Account) -> dict[int, int]:
    """How many each operation of the way in took off; what the other side repeats took off as many as the first."""
    numbers: dict[int, int] = {}
    first: dict[tuple[Verb, tuple[str, ...]], int] = {}
    for one in account.said:
        name = (one.verb, _without_side(one.object))
        count = first.get(name) if one.n in account.again else one.count
        if count is not None and one.verb in _WAY_IN:
            numbers[one.n] = first[name] = count
    return numbers


def _together(one: Said, back: Sequence[Said], account: Account) -> frozenset[int]:
    """The operations that are undone together with one; what was only slackened before it came off counts once."""
    roots = {n for other in back for n in undone_by(other)} | {one.n}
    came_off = {words_of_name(account.by_number[n].object) for n in roots if not account.by_number[n].slackened}
    once = {
        n for n in roots if account.by_number[n].slackened and words_of_name(account.by_number[n].object) in came_off
    }
    return frozenset({one.n} if one.n in once else roots - once)


def _torques(account: Account) -> Iterator[Asked]:
    told = {_without_side(other.object) for other in account.said if other.torque}
    for one in account.said:
        again = one.n in account.again and _without_side(one.object) in told
        if not again and is_turned(one) and _went_in_without_a_torque(one, account, told):
            yield Asked(kind="no_torque", operation=one.n, text=f"{one.object}: tightened to what? {_NOT_HEARD}")


def _went_in_without_a_torque(one: Said, account: Account, told: set[tuple[str, ...]]) -> bool:
    """Of what came out by its way back, of a plug where it was tightened; of fasteners that only went in by name."""
    if one.verb is Verb.START:
        return one.twin is None and _without_side(one.object) not in told
    back = account.way_back.get(one.n, ())
    if one.verb is Verb.REMOVE:
        return any(other.verb is Verb.TIGHTEN for other in back) and not any(other.torque for other in back)
    return one.verb is Verb.UNDO and bool(back) and not any(other.torque for other in back)


def _without_side(name: str) -> tuple[str, ...]:
    """A name that both sides share: of "the same on the other side" no torque is asked that the first side had."""
    return tuple(word for word in words_of_name(name) if word not in ACROSS | {"other", "side"})


def is_turned(one: Said) -> bool:
    """Whether an operation is on fasteners, or a plug, that are tightened to a value."""
    words = words_of_name(one.object)
    if words[-1:] == ("plug",) and set(words) & _SCREWED_PLUGS:
        return True
    return one.kind in _TURNED or (one.kind is None and bool(words) and words[-1] in _TURNED)


def _scans(account: Account) -> Iterator[Asked]:
    scans = [one.n for one in account.said if one.verb in SCANS]
    in_first = next((one.n for one in account.said if one.verb in _WAY_IN), None)
    back = [one.n for one in account.said if one.verb in _PUTS_BACK | {Verb.RESTORE, Verb.TIGHTEN}]
    if in_first is not None and not any(n < in_first for n in scans):
        yield Asked(kind="no_pre_scan", text=f"vehicle: codes of every module read before the work? {_NOT_HEARD}")
    if back and not any(n > back[len(back) // 2] for n in scans):
        yield Asked(kind="no_post_scan", text=f"vehicle: codes of every module read after put-back? {_NOT_HEARD}")


def _dead(account: Account) -> Iterator[Asked]:
    for one in account.said:
        if one.verb is Verb.ISOLATE and is_high_voltage(one):
            if _proof(one, account) is None:
                about = ", ".join(("high voltage", one.object, *_opened(one, account)))
                text = f"{about}: proved dead with a proven meter before any work? {_NOT_HEARD}"
                yield Asked(kind="no_dead_check", operation=one.n, text=text)
            return


def _opened(isolated: Said, account: Account) -> tuple[str, ...]:
    """The first few parts of high voltage that were opened after it was isolated."""
    later = (one for one in account.said if one.n > isolated.n and one.verb in _OPENS)
    named = (one.object for one in later if _HIGH_VOLTAGE_NAME.search(one.object) and one.object != isolated.object)
    return tuple(dict.fromkeys(named))[:_FEW]


def _proof(isolated: Said, account: Account) -> Said | None:
    """The proof that it is dead: after it was isolated and before it was connected again; later ones prove nothing."""
    until = min((back.n for back in account.way_back.get(isolated.n, ())), default=None)
    proofs = (one for one in account.said if one.verb is Verb.PROVE_DEAD and one.n > isolated.n)
    return next((one for one in proofs if until is None or one.n < until), None)


def _always(account: Account) -> Iterator[Asked]:
    if not account.has_high_voltage:
        return
    said = account.said
    isolated = next((one for one in said if one.verb is Verb.ISOLATE and is_high_voltage(one)), None)
    waited = next((one for one in said if one.verb is Verb.WAIT), None)
    proofs = (one for one in said if one.verb is Verb.PROVE_DEAD)
    proved = _proof(isolated, account) if isolated is not None else next(proofs, None)
    for one, ask in (
        (isolated, "high voltage: isolated, and locked against being put back, by a licensed person?"),
        (waited, "high voltage: waited as long as the maker's publication for this vehicle says?"),
        (proved, "high voltage: proved dead at the points that the maker names, meter proved before and after?"),
    ):
        heard_it = f"heard: {one.object or one.verb}; confirm" if one is not None else _NOT_HEARD
        yield Asked(kind="always_asked", operation=one.n if one else None, text=f"{ask} {heard_it}")


def _consumables(account: Account) -> Iterator[Asked]:
    """What is made for one time and was told to have gone back, or of which no new one was heard; each asked once."""
    told = list(used_again(account.text))
    for part in told:
        text = f"{part}: used again, as was said? Look whether the maker wants a new one"
        yield Asked(kind="consumable_reused", text=text)
    heads = set(map(head_of, told))
    for part in never_renewed(account.text):
        if head_of(part) not in heads:
            text = f"{part}: made for one time, as was said; was a new one fitted? {_NOT_HEARD}"
            yield Asked(kind="consumable_reused", text=text)


def _other_names(account: Account) -> Iterator[Asked]:
    for link in account.links:
        back, way_in = account.by_number[link.back], account.by_number[link.way_in]
        if not link.shares_a_word and back.object and way_in.object:
            yield Asked(kind="same_as", operation=back.n, text=f"{back.object}: same as {way_in.object}?")


_RULES: Final[tuple[Callable[[Account], Iterator[Asked]], ...]] = (
    _never_back,
    _some_loose,
    _one_side_only,
    _said_loose,
    _lifts,
    _let_down,
    _energies,
    _guards,
    _counts,
    _torques,
    _scans,
    _dead,
    _always,
    _consumables,
    _other_names,
)
