"""One idea: a number that a gate compares with stands here with where it comes from, and can only be set stricter.

Waits, limits and proof windows are not here: they come from the car file with their source, or the gate stays shut.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from putback.core.record.kinds import GLOVE_CLASSES

GLOVE_VOLTS: Mapping[str, float] = MappingProxyType(
    {"00": 500.0, "0": 1_000.0, "1": 7_500.0, "2": 17_000.0, "3": 26_500.0, "4": 36_000.0}
)
"""Highest use voltage of each class, [V a.c.]. Source: 29 CFR 1910.137, table of use voltages (from memory)."""

SOURCES: Mapping[str, str] = MappingProxyType(
    {
        "glove_test_months": "29 CFR 1910.137 (2007 text) and its letter of interpretation of 25 January 2019: "
        "electrical test before first issue and every six months; seen as excerpts",
        "gloves_above_volts": "definition of high voltage in vehicles, over 60 V d.c.; seen in a training text",
        "bonding_ohm": "draft national text following UN R100, below 0.1 ohm; UN R100 itself not seen",
        "glove_class": "common practice class 0, no source; use voltages 29 CFR 1910.137, from memory, a.c.: "
        "for d.c. ask the label",
        "gap_minutes": "common practice, no source",
        "clock_seconds": "common practice, no source",
    }
)
"""Where each setting comes from; the workshop's own figures may only be stricter."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MakerClass:
    """The class of gloves that the maker publishes for an energy, with the publication."""

    glove_class: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class GateSettings:
    """What a workshop may set, in the units of the names.

    `gap_minutes`: after so long without a line from the person, a proof is void. `clock_seconds`: by so much the
    clocks of a device and of the server may differ. `maker_gloves`: by energy. `accepted_grades`: by the words of
    the car file, the words on certificates that are accepted for them beside the same words.

    Raises:
        ValueError: a figure is no positive number, is looser than its source, or names no class of gloves.
    """

    glove_test_months: int = 6
    gloves_above_volts: float = 60.0
    bonding_ohm: float = 0.1
    gap_minutes: float = 30.0
    clock_seconds: float = 60.0
    maker_gloves: Mapping[str, MakerClass] = field(default_factory=lambda: MappingProxyType({}))
    accepted_grades: Mapping[str, tuple[str, ...]] = field(default_factory=lambda: MappingProxyType({}))

    def __post_init__(self) -> None:
        """Refuse what is looser than its source."""
        highest = {
            "glove_test_months": 6,
            "gloves_above_volts": 60.0,
            "bonding_ohm": 0.1,
            "gap_minutes": 120.0,
            "clock_seconds": 120.0,
        }
        for name, most in highest.items():
            value = getattr(self, name)
            if not (math.isfinite(value) and 0 < value <= most):
                raise ValueError(f"{name} must be above 0 and at most {most:g} ({SOURCES[name]}), not {value!r}")
        for energy, said in self.maker_gloves.items():
            if said.glove_class not in GLOVE_CLASSES or not said.source.strip():
                raise ValueError(f"gloves for {energy}: name one of the classes {GLOVE_CLASSES} and its source")
