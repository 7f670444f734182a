"""One idea: how likely a fault is before anything was read is a guess, so every guess is shown and can be changed.

The numbers are starting guesses of common practice, no source: a connector is left unplugged more often than a hose
is left apart, and an item that only went off and on is rarely damaged. They order the candidates; they prove nothing.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, fields, replace
from types import MappingProxyType
from typing import Final

from putback.core.car import Action

WHENCE: Final = "starting guesses, common practice, no source; change them with --weight NAME=VALUE"

_PRIORS: Final[Mapping[Action, float]] = MappingProxyType(
    {
        Action.UNPLUG: 0.02,
        Action.PART: 0.01,
        Action.REMOVE: 0.005,
        Action.RENEW: 0.005,
        Action.SWING: 0.003,
        Action.FOLD: 0.002,
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Weights:
    """The guesses behind the ranking, all chances above 0 and below 1 but for `look_minutes`, [min].

    `priors`: that an item so handled is at fault; `shows`: that a fault brings at least one code of its circuit;
    `hints`: the same where only the code's family points to the circuit; `other`: that something the work did not
    touch brings a code; `look_minutes`: to look at a thing once it is reached.
    """

    priors: Mapping[Action, float] = field(default_factory=lambda: _PRIORS)
    shows: float = 0.8
    hints: float = 0.1
    other: float = 0.002
    look_minutes: float = 1.0

    def listed(self) -> Iterator[tuple[str, float]]:
        """Every weight by its name."""
        yield from ((str(action), value) for action, value in self.priors.items())
        yield from ((one.name, getattr(self, one.name)) for one in fields(self) if one.name != "priors")

    def changed(self, name: str, value: float) -> "Weights":
        """The weights with one of them changed.

        Raises:
            ValueError: there is no such weight, or the value cannot be.
        """
        known = [one for one, _ in self.listed()]
        if name not in known:
            raise ValueError(f"there is no weight {name!r}; the weights are {', '.join(known)}")
        if name == "look_minutes":
            if not 0 < value <= 1000:
                raise ValueError("look_minutes is above 0 and at most 1000")
            return replace(self, look_minutes=value)
        if not 0 < value <= 0.5 and name not in {"shows", "hints"}:
            raise ValueError(f"{name} is a chance above 0 and at most 0.5")
        if not 0 < value < 1:
            raise ValueError(f"{name} is a chance above 0 and below 1")
        if name == "shows":
            return replace(self, shows=value)
        if name == "hints":
            return replace(self, hints=value)
        if name == "other":
            return replace(self, other=value)
        return replace(self, priors=MappingProxyType({**self.priors, Action(name): value}))
