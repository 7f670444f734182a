"""A virtual car to try reading out on: ten simulated, invented modules on a bus that reaches no vehicle."""

from putback.adapters.virtual_car.car import VirtualCar
from putback.adapters.virtual_car.faults import Switches
from putback.adapters.virtual_car.happened import Happened
from putback.adapters.virtual_car.modules import FUNCTIONAL, MODULES, PAIRS, VIN, Manner, Module
from putback.adapters.virtual_car.opening import open_virtual, read_scene
from putback.adapters.virtual_car.process import Handle, NotTakenError, started
from putback.adapters.virtual_car.scene import Scene

__all__ = [
    "FUNCTIONAL",
    "MODULES",
    "PAIRS",
    "VIN",
    "Handle",
    "Happened",
    "Manner",
    "Module",
    "NotTakenError",
    "Scene",
    "Switches",
    "VirtualCar",
    "open_virtual",
    "read_scene",
    "started",
]
