"""One idea: small things that fit no other check, most of them notes: legal, and probably not what was meant."""

import re

from putback.adapters.car_file.desk import Desk
from putback.core.car import Action, Car

_CODE = re.compile(r"[PCBU][0-3][0-9A-F]{3}(-[0-9A-F]{2})?")


def renewals_without_cause(car: Car, desk: Desk) -> None:
    """Every item that is renewed says with what (a note: it joins no work but its own)."""
    for item in car.items.values():
        named = item.renew_with_items or item.renew_with_fluids or desk.is_faulty(f"items.{item.id}.renew_with")
        if item.action is Action.RENEW and not named:
            at = f"items.{item.id}"
            mend = "add renew_with: [item] or renew_with: [fluid NAME]"
            desk.note(desk.line(at), at, f"{item.id} is renewed with nothing else", mend, "renewed-alone")


def layouts(car: Car, desk: Desk) -> None:
    """A joint's layout has one point for each fastener."""
    for joint in car.joints():
        at = f"items.{joint.item}.joints.{joint.id}"
        known = not desk.is_faulty(f"{at}.count") and not desk.is_faulty(f"{at}.layout")
        if known and joint.layout_mm and len(joint.layout_mm) != joint.count:
            what = f"{len(joint.layout_mm)} points for {joint.count} fasteners"
            desk.fault(desk.line(f"{at}.layout"), f"{at}.layout", what, "write one [x, y] for each", "layout")


def fasteners_without_name(car: Car, desk: Desk) -> None:
    """Every joint says what its fasteners are (a note: lists can only count them)."""
    for joint in car.joints():
        at = f"items.{joint.item}.joints.{joint.id}"
        known = joint.thread or joint.kind or desk.is_faulty(f"{at}.thread") or desk.is_faulty(f"{at}.kind")
        if not known:
            what = f"{joint.id} has neither thread nor kind"
            desk.note(desk.line(at), at, what, "add thread: M6x20 or kind: clip, whichever it is", "fastener-unnamed")


def service_names(car: Car, desk: Desk) -> None:
    """No service has the id of an item (a note: asked for by that id, the service is meant)."""
    for id in car.services:
        if id in car.items:
            at = f"services.{id}"
            what = f"{id} is a service and an item (line {desk.line(f'items.{id}')})"
            desk.note(
                desk.line(at),
                at,
                what,
                "give the service another id, so that it is clear which is meant",
                "two-meanings",
            )


def code_spelling(car: Car, desk: Desk) -> None:
    """Codes look like codes (a note: any other matches only a code read that spells it the same).

    Source of the form: letter P, C, B or U, digit 0 to 3, three hexadecimal digits (SAE J2012), and a failure type
    of two hexadecimal digits after a dash; from memory.
    """
    spelled = [(f"energies.{energy.id}.expected_codes", energy.expected_codes) for energy in car.energies.values()]
    spelled += [(f"relearn.{number}.codes", relearn.codes) for number, relearn in enumerate(car.relearn, 1)]
    spelled += [(f"circuits.{circuit.id}.codes", circuit.codes) for circuit in car.circuits.values()]
    for at, codes in spelled:
        for code in codes:
            if not _CODE.fullmatch(code):
                what = f"{code!r} is not spelled like a trouble code"
                desk.note(desk.line(at), at, what, "write it such as P0000 or P0000-00", "code")


def swing_limits_of_others(car: Car, desk: Desk) -> None:
    """What has a swing limit is swung aside (a note)."""
    for id in car.swing_limits:
        if id in car.items and car.items[id].action is not Action.SWING:
            at = f"swing_limits.{id}"
            what = f"{id} is not swung aside (its action is {car.items[id].action})"
            desk.note(desk.line(at), at, what, "write action: swing, or delete the limit", "swing-limit")
