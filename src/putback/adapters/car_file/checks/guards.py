"""One idea: what is put in to keep dirt out or weight up has its place, and every open port has its plug."""

from putback.adapters.car_file.desk import Desk
from putback.core.car import END, START, Car


def open_ports(car: Car, desk: Desk) -> None:
    """Every item that opens a port has a guard that closes it (a note: something may fall in unseen)."""
    closed = {id for guard in car.guards.values() for id in guard.closes}
    unread = any(at.startswith("guards.") and at.endswith(".closes") for at in desk.faulty)
    for item in car.items.values():
        if item.opens_port and item.id not in closed and not unread:
            at = f"items.{item.id}.opens_port"
            mend = f"add a guard with closes: {{{item.id}: <pieces>}}"
            desk.note(desk.line(at), at, f"{item.id} opens a port that no guard closes", mend, "open-port")


def ends_of_the_job(car: Car, desk: Desk) -> None:
    """No guard goes in after the end or comes out before the start."""
    for guard in car.guards.values():
        for key, id, wrong in (("in_after", guard.in_after, END), ("out_before", guard.out_before, START)):
            if id == wrong:
                at = f"guards.{guard.id}.{key}"
                mend = "write start in in_after, end in out_before, or an item"
                desk.fault(desk.line(at), at, f"{key} cannot be {wrong}", mend, "guard-edge")
