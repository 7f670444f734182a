"""One idea: a number without a source is no number. Each is a note: value needed; it blocks, it is never guessed."""

from typing import Final

from putback.adapters.car_file.desk import Desk
from putback.core.car import VALUE_NEEDED, Car, Energy, Proof

RULE: Final = "value-needed"
_NAMED: Final = 8
_ASK: Final = "ask the maker's publication, name it under sources: and write it here with source:"


def torques(car: Car, desk: Desk) -> None:
    """Every thread has a torque, and every torque a source."""
    for joint in car.joints():
        at = f"items.{joint.item}.joints.{joint.id}.torque"
        if joint.torque is not None and joint.source is None:
            _note(desk, at, f"the torque {joint.torque} has no source")
        elif joint.torque is None and joint.thread is not None and not desk.is_faulty(at):
            _note(desk, at, f"{joint.id} has a thread ({joint.thread.text}) and no torque")


def minutes(car: Car, desk: Desk) -> None:
    """Every item has its minutes; without them a plan through it has no price."""
    lacking = [item for item in car.items.values() if not item.minutes_known]
    unknown = [item for item in lacking if not desk.is_faulty(f"items.{item.id}.minutes")]
    if unknown:
        named = ", ".join(item.id for item in unknown[:_NAMED]) + (" …" if unknown[_NAMED:] else "")
        what = f"the minutes of {len(unknown)} of {len(car.items)} items are not known ({named})"
        mend = "write minutes: [off, on]; without them a plan has no price"
        desk.note(unknown[0].line, f"items.{unknown[0].id}.minutes", what, mend, "minutes")


def energies(car: Car, desk: Desk) -> None:
    """Every energy has a proof, every wait and proof a source, every reading its limit."""
    for energy in car.energies.values():
        at = f"energies.{energy.id}"
        if energy.proof is None and not desk.is_faulty(f"{at}.proof"):
            what = f"{energy.id} has no proof that it is gone; work that needs it stays blocked"
            desk.note(desk.line(at), at, what, f"add proof: as the maker gives it ({VALUE_NEEDED})", "no-proof")
        _wait(energy, at, desk)
        if energy.proof is not None:
            _proof(energy.proof, f"{at}.proof", desk)


def _wait(energy: Energy, at: str, desk: Desk) -> None:
    if energy.wait is None:
        return
    if energy.wait.minutes is None and not desk.is_faulty(f"{at}.wait.minutes"):
        _note(desk, f"{at}.wait.minutes", "the wait has no minutes")
    elif energy.wait.minutes is not None and energy.wait.source is None:
        _note(desk, f"{at}.wait", f"the wait of {energy.wait.minutes:g} min has no source")


def _proof(proof: Proof, at: str, desk: Desk) -> None:
    if proof.source is None:
        _note(desk, at, "the proof has no source")
    measured = proof.measure is not None or proof.points
    if measured and proof.at_most is None and not desk.is_faulty(f"{at}.at_most"):
        _note(desk, f"{at}.at_most", "the reading has no limit (at_most)")
    if proof.points and proof.within_minutes is None and not desk.is_faulty(f"{at}.within_minutes"):
        _note(desk, f"{at}.within_minutes", "prove-test-prove has no time limit (within_minutes)")


def fluids(car: Car, desk: Desk) -> None:
    """Every fluid has its litres, and the litres a source."""
    for fluid in car.fluids.values():
        at = f"fluids.{fluid.id}"
        if fluid.litres is None:
            if not desk.is_faulty(f"{at}.litres"):
                _note(desk, f"{at}.litres", "the litres are missing")
        elif fluid.source is None:
            _note(desk, f"{at}.litres", f"the {fluid.litres:g} l have no source")


def swing_limits(car: Car, desk: Desk) -> None:
    """What an item swung aside may bear has a source."""
    for limit in car.swing_limits.values():
        if limit.source is None and limit.facts:
            _note(desk, f"swing_limits.{limit.item}", "the limits have no source")


def _note(desk: Desk, at: str, what: str) -> None:
    desk.note(desk.line(at), at, f"{what}: {VALUE_NEEDED}", _ASK, RULE)
