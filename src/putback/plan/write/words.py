"""One idea: the short texts beside an operation come from the car file, and say "value needed" where it is silent."""

from collections.abc import Iterable

from putback.core.car import Action, Car, Energy, Item, Joint, Proof, Way

VALUE_NEEDED_ASK = "value needed: ask the maker's publication"


def joined(texts: Iterable[str]) -> str:
    """Those that say something, in one line; one-word marks of the car file lose their hyphens.

    >>> joined(["mark-position", "", "sight: mirror"])
    'mark position; sight: mirror'
    """
    return "; ".join(text.replace("-", " ") if " " not in text else text for text in texts if text)


def proof_text(car: Car, id: str) -> tuple[str, bool]:
    """How an energy is proved, in words; and whether a value or its source is still needed."""
    proof = car.energies[id].proof
    if proof is None or not proof.source or _lacks_a_limit(proof):
        return VALUE_NEEDED_ASK, True
    if proof.points:
        window = f", within {proof.within_minutes:g} min" if proof.within_minutes is not None else ""
        return f"prove, test {', '.join(proof.points)} at most {proof.at_most}, prove again{window}", False
    if proof.measure:
        return f"{proof.measure} at most {proof.at_most}", False
    return proof.check or "", False


def _lacks_a_limit(proof: Proof) -> bool:
    """Whether a reading has nothing to be held against, or prove-test-prove no time in which it must be done."""
    return (proof.needs_limit and proof.at_most is None) or (bool(proof.points) and proof.within_minutes is None)


def isolation_text(energy: Energy) -> str:
    """How an energy is made safe, who may, and what is forbidden meanwhile."""
    who = f"who: {energy.who}" if energy.who else ""
    return joined([energy.make_safe or "", energy.lock or "", who, *(f"no {thing}" for thing in energy.forbid)])


def undoing_text(joint: Joint, way: Way | None) -> str:
    """What to know when a joint is undone."""
    return joined([*joint.notes, f"sight: {way.sight}" if way and way.sight else ""])


def tightening_text(joint: Joint, item: Item) -> str:
    """What to know when a joint is tightened; joints of one item with one torque and pattern are one pattern."""
    alike = [
        other.id
        for other in item.joints
        if joint.pattern and other.id != joint.id and (other.pattern, other.torque) == (joint.pattern, joint.torque)
    ]
    together = f", one pattern with {', '.join(alike)}" if alike else ""
    shares = ", ".join(f"{share:g} %" for share in joint.passes_percent)
    return joined(
        [
            f"pattern {joint.pattern}{together}" if joint.pattern else "",
            f"passes {shares}" if shares else "",
            joint.thread_treatment or "",
            f"check again after {joint.recheck}" if joint.recheck else "",
        ]
    )


def handling_text(car: Car, item: Item) -> str:
    """What to know when an item is taken off: its marks, and what it may bear where it is swung aside."""
    limits = car.swing_limits.get(item.id)
    if limits and not limits.source and limits.facts:
        return joined([*item.notes, f"what it may bear: {VALUE_NEEDED_ASK}"])
    facts = [f"{key.replace('_', ' ')}: {value}" for key, value in limits.facts.items()] if limits else []
    return joined([*item.notes, *facts])


def look_text(item: Item) -> str:
    """What to look for when an item is seen for the last time."""
    if item.action is Action.UNPLUG:
        return "click and tug"
    if item.action is Action.RENEW:
        return "new part in its seat"
    count = sum(joint.count for joint in item.joints)
    if not count:
        return "joined, tug" if item.action is Action.PART else "seated"
    return f"{count} fastener{'s' if count > 1 else ''} home"
