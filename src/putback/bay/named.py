"""One idea: names stand beside the record and can be deleted; what is read for people asks for them here."""

from collections.abc import Mapping

from putback.adapters.stores import Store

NAME_DELETED = "name deleted"
DELETED = "deleted"


def names_of(store: Store) -> Mapping[str, tuple[str, str]]:
    """Name and role of everybody in the people's table, by id; who was deleted is called so."""
    found = {}
    for person in store.people():
        data = person.data or {}
        role = str(data.get("role") or "")
        name = str(data.get("name") or data.get("plate") or person.id)
        found[person.id] = (name if person.data is not None else NAME_DELETED, role)
    return found


def car_words(car: str, vin_end: object, names: Mapping[str, str]) -> tuple[str, str]:
    """A car's plate as it is known now, and the end of its vehicle number in words; each "" where it is not known.

    Args:
        car: the id by which the record names it.
        vin_end: the last six of its number, which stand in the record.
        names: name or plate by id.
    """
    plate = names.get(car, car)
    known = DELETED if plate == NAME_DELETED else "" if plate == car else plate
    return known, f"vehicle number ends in {vin_end}" if vin_end else ""
