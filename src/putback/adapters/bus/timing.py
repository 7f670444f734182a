"""One idea: how long to wait, how often to ask again and how fast to talk are figures that a person can change.

P2, P2* and the time between frames are the usual ones of ISO 14229-2, ISO 15765-4 and ISO 15765-2 (from memory; P2 and
P2* seen as typical). All others are common practice, no source.
"""

from dataclasses import dataclass, fields, replace
from typing import Final

_MOST: Final = 3600.0
_BYTE: Final = 255


@dataclass(frozen=True, slots=True, kw_only=True)
class Timing:
    """How to wait and how to repeat.

    Args:
        p2_s: in this time a module begins to answer, [s].
        allowance_s: on top of it, for gateways, the interface and this machine, [s].
        p2_star_s: the same after a module has said that its answer comes later (reason 78), [s].
        later_at_most: how often one answer may be put off so.
        later_for_s: how long one request may take with all that, [s].
        between_frames_s: longest time between two frames of one answer, [s].
        quiet_s: after an answer that broke off, the module must be quiet so long before it is asked again, [s].
        silent_repeats: how often a request is repeated that nobody answered; the wait doubles each time.
        repeats: how often a request is repeated whose answer was cut off.
        same_cut: so many answers cut off at the same byte are no accident, and no more are asked for.
        busy_repeats: how often a module is asked again that says that it is busy (reason 21).
        busy_s: the first wait after that; it doubles each time, [s].
        gap_s: least time between two requests of ours, so that a gateway keeps up, [s].
        padding: what fills our frames up to eight bytes.
    """

    p2_s: float = 0.05
    allowance_s: float = 0.1
    p2_star_s: float = 5.0
    later_at_most: int = 20
    later_for_s: float = 30.0
    between_frames_s: float = 1.0
    quiet_s: float = 0.03
    silent_repeats: int = 3
    repeats: int = 5
    same_cut: int = 3
    busy_repeats: int = 6
    busy_s: float = 0.05
    gap_s: float = 0.002
    padding: int = 0xCC

    def first_s(self, silences: int) -> float:
        """How long to wait for an answer to begin after so many silences, [s].

        >>> round(Timing().first_s(2), 3)
        0.6
        """
        return float((self.p2_s + self.allowance_s) * 2**silences)

    def changed(self, name: str, value: float) -> "Timing":
        """The same with one figure changed.

        Raises:
            ValueError: there is no such figure, or it cannot be that.

        >>> Timing().changed("p2_s", 0.2).p2_s
        0.2
        """
        kinds = {field.name: type(getattr(self, field.name)) for field in fields(self)}
        if name not in kinds:
            raise ValueError(f"there is no {name!r}; there are {', '.join(kinds)}")
        if not 0 <= value <= _MOST or (kinds[name] is int and value != int(value)):
            raise ValueError(f"{name} cannot be {value:g}")
        if name == "padding" and value > _BYTE:
            raise ValueError(f"{name} is one byte, 0 to {_BYTE}")
        return replace(self, **{name: kinds[name](value)})
