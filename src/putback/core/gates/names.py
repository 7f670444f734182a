"""One idea: whoever reads words about a car reads the names of its file; an id stands where the file has no name."""

from putback.core.car import Car


def name_of(car: Car, id: str) -> str:
    """A thing by its name: an item, guard or energy, a joint by its item and fasteners; else the id.

    Energies of one kind are told apart by their ids: the car file has no other name for them.
    """
    if id in car.items:
        return car.items[id].name
    if id in car.guards:
        return car.guards[id].name
    if id in car.energies:
        kind = car.energies[id].kind
        alone = sum(energy.kind == kind for energy in car.energies.values()) == 1
        return kind if alone else f"{kind} ({id})"
    for joint in car.joints():
        if joint.id == id:
            fastener = joint.thread.text if joint.thread else joint.kind or "fasteners"
            return f"{car.items[joint.item].name}, {fastener}"
    return f"{id} fluid" if id in car.fluids else id
