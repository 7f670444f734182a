"""One idea: numbers that stand for words have their words in one place, ours, with who confirms the numbers.

Source: SAE J1979 / ISO 15031-5 PIDs 03, 12, 1C and 51, as two program libraries and a public table give them
(tests/core/codes/test_pids.py).
"""

from collections.abc import Mapping
from types import MappingProxyType

FUEL_STATES: Mapping[int, str] = MappingProxyType(
    {
        0x01: "open loop, engine not warm enough",
        0x02: "closed loop",
        0x04: "open loop, because of load or fuel cut",
        0x08: "open loop, because of a fault",
        0x10: "closed loop, with a fault in one sensor",
    }
)
"""PID 03, one byte for each fuel system: one bit is set."""

AIR_STATES: Mapping[int, str] = MappingProxyType(
    {
        0x01: "before the catalyst",
        0x02: "after the catalyst inlet",
        0x04: "outside air, or off",
        0x08: "pump on for a test",
    }
)
"""PID 12: one bit is set."""

FUELS: Mapping[int, str] = MappingProxyType(
    dict(
        enumerate(
            (
                "not said",
                "petrol",
                "methanol",
                "ethanol",
                "diesel",
                "liquefied petroleum gas",
                "compressed natural gas",
                "propane",
                "electricity",
                "two fuels, running on petrol",
                "two fuels, running on methanol",
                "two fuels, running on ethanol",
                "two fuels, running on liquefied petroleum gas",
                "two fuels, running on compressed natural gas",
                "two fuels, running on propane",
                "two sources, running on electricity",
                "two sources, running on electricity and engine",
                "hybrid, petrol",
                "hybrid, ethanol",
                "hybrid, diesel",
                "hybrid, electricity",
                "hybrid, running on electricity and engine",
                "hybrid, charging by braking",
                "two fuels, running on diesel",
            )
        )
    )
)
"""PID 51."""

REQUIREMENTS: Mapping[int, str] = MappingProxyType(
    {
        0x01: "OBD II, California",
        0x02: "OBD, federal USA",
        0x03: "OBD and OBD II",
        0x04: "OBD I",
        0x05: "none",
        0x06: "EOBD, Europe",
        0x07: "EOBD and OBD II",
        0x08: "EOBD and OBD",
        0x09: "EOBD, OBD and OBD II",
        0x0A: "JOBD, Japan",
        0x0B: "JOBD and OBD II",
        0x0C: "JOBD and EOBD",
        0x0D: "JOBD, EOBD and OBD II",
        0x11: "EMD, heavy engines",
        0x12: "EMD+, heavy engines",
        0x13: "HD OBD-C, heavy vehicles, in part",
        0x14: "HD OBD, heavy vehicles",
        0x15: "WWH OBD, worldwide harmonized",
        0x17: "HD EOBD-I",
        0x18: "HD EOBD-I N",
        0x19: "HD EOBD-II",
        0x1A: "HD EOBD-II N",
        0x1C: "OBDBr-1, Brazil",
        0x1D: "OBDBr-2, Brazil",
        0x1E: "KOBD, Korea",
        0x1F: "IOBD I, India",
        0x20: "IOBD II, India",
    }
)
"""PID 1C: names of requirements, not a statement that the vehicle meets them."""
