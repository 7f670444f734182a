"""One idea: names stand beside the record and can be deleted; what is read for people asks for them here."""

from collections.abc import Mapping

from putback.adapters.stores import Store

NAME_DELETED = "name deleted"


def names_of(store: Store) -> Mapping[str, tuple[str, str]]:
    """Name and role of everybody in the people's table, by id; who was deleted is called so."""
    found = {}
    for person in store.people():
        data = person.data or {}
        role = str(data.get("role") or "")
        name = str(data.get("name") or data.get("plate") or person.id)
        found[person.id] = (name if person.data is not None else NAME_DELETED, role)
    return found
