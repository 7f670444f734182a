"""One idea: the words and fields that several tools share are written once."""

from putback.core.fasten.answer import NotComputable
from putback.core.fasten.designation import Designation, designation
from putback.core.fasten.tool import Ask, Field, Fields
from putback.core.quantity import TORQUE_UNITS_NM, Torque

AUTHORITY = "The maker's publication wins over every figure here; none of them is a specification."
AUTHORITY_VOLTS = (
    "The maker's publication, local codes and licensed people decide. Nothing here replaces a measurement."
)

THREAD_FIELD = Field(name="thread", words="thread, as it is marked", like="M8x1.25", needed=True)
TORQUE_FIELD = Field(name="torque", words="torque, with its unit", like="24 N·m", ask=Ask.TORQUE, needed=True)
TODAY = Field(name="day", words="day of the work; left out: today", like="2026-11-26", ask=Ask.DATE, today=True)


def thread(given: Fields) -> Designation | None:
    """The thread that was typed; None where it was not, or cannot be read, which is noted as a fault."""
    if not given.has("thread"):
        return None
    try:
        return designation(given.text("thread"))
    except NotComputable as doubt:
        given.faults.append(f"thread: {doubt.why}; {doubt.mend}")
        return None


def shown(torque: Torque, torque_nm: float | None = None) -> str:
    """A torque in its source's own unit, with N·m beside it where that is another.

    >>> shown(Torque(value=18, unit="lbf·ft"))
    '18 lbf·ft (24.4 N·m)'
    >>> shown(Torque(value=24, unit="N·m"))
    '24 N·m'
    """
    told_nm = torque.torque_nm if torque_nm is None else torque_nm
    own = f"{told_nm / TORQUE_UNITS_NM[torque.unit]:.4g} {torque.unit}"
    return own if torque.unit == "N·m" else f"{own} ({told_nm:.3g} N·m)"


def then_angles(torque: Torque) -> str:
    """What follows a torque that is only the first step; empty where no angle follows.

    >>> then_angles(Torque(value=12, unit="N·m", angles_deg=(90, 45)))
    ' That is the snug torque alone: then turn on by 90°, then by 45°.'
    >>> then_angles(Torque(value=12, unit="N·m"))
    ''
    """
    turns = ", then by ".join(f"{angle:g}°" for angle in torque.angles_deg)
    return f" That is the snug torque alone: then turn on by {turns}." if turns else ""


def kilonewtons(newtons: float) -> float:
    """Newtons as kilonewtons."""
    return newtons / 1000
