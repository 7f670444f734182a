"""A virtual car beside a test in the same process, on python-can's virtual bus: invented, as all of it is."""

import threading
import uuid
from collections.abc import Iterator
from contextlib import contextmanager

import can

from putback.adapters.virtual_car import Happened, Scene, Switches, VirtualCar, open_virtual, read_scene


def demo_scene() -> Scene:
    """The scene of the demo car."""
    scene = read_scene(None, None)
    assert isinstance(scene, Scene)
    return scene


@contextmanager
def beside(
    channel: str | None = None,
    *,
    scene: Scene | None = None,
    happened: Happened | None = None,
    switches: Switches | None = None,
    seed: int = 1,
) -> Iterator[tuple[can.BusABC, VirtualCar]]:
    """A bus to a virtual car that runs in a thread; change it with `car.change({...})`."""
    channel = channel or str(uuid.uuid4())
    with open_virtual("virtual", channel) as bus, open_virtual("virtual", channel) as of_car:
        car = VirtualCar(of_car, scene or demo_scene(), happened=happened, switches=switches, seed=seed)
        over = threading.Event()
        thread = threading.Thread(target=car.run, args=(over.is_set,), kwargs={"look_s": 0.005}, daemon=True)
        thread.start()
        try:
            yield bus, car
        finally:
            over.set()
            thread.join(5)
