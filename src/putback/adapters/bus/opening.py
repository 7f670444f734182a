"""One idea: a bus is opened by name, and where it cannot be, the reason and the mend come back instead of a failure.

Any interface of python-can will do. Only what is named here counts: settings that python-can would take from files or
the surroundings are not looked at.
"""

import difflib
import logging
import re
from typing import Final

import can

from putback.core.finding import Finding, Where

Option = str | int | float | bool

_SEE: Final = "see docs/codes-bus.md for what an interface needs"

_WITH_PORT: Final = re.compile(r"(\d+\.\d+\.\d+\.\d+|\[[0-9a-fA-F:]+\]):(\d{1,5})")

logging.getLogger("can").addHandler(logging.NullHandler())  # what it would print comes back as a finding


def open_bus(
    interface: str, channel: str | None = None, *, bitrate: int | None = None, **more: Option
) -> can.BusABC | Finding:
    """Open a bus; the finding where that cannot be done.

    Args:
        interface: a name of python-can, such as socketcan or virtual.
        channel: which one of them, such as can0; some interfaces need none. Of udp_multicast a port may follow:
            239.1.2.3:43113.
        bitrate: [bit/s], where the interface sets it.
        more: what else this interface asks for.
    """
    if interface not in can.VALID_INTERFACES:
        return _unknown(interface)
    settings: dict[str, Option] = {**more} if bitrate is None else {"bitrate": bitrate, **more}
    found = _WITH_PORT.fullmatch(channel or "") if interface == "udp_multicast" else None
    if found is not None:
        channel, settings = found[1].strip("[]"), {"port": int(found[2]), **settings}
    try:
        return can.Bus(channel, interface, ignore_config=True, **settings)  # type: ignore[arg-type] # any option may be
    except (ImportError, NameError, can.CanInterfaceNotImplementedError) as failure:
        what = f"the driver of {interface!r} is not there ({_words(failure)})"
        return _finding("--interface", what, f"install what this interface needs; {_SEE}")
    except Exception as failure:  # a driver may raise anything, and none of it is a reason to fall over
        return _finding("--channel", _not_opened(interface, channel, failure), _mend(interface))


def read_option(text: str) -> tuple[str, Option] | Finding:
    """One NAME=VALUE for an interface; numbers and yes or no are taken as such.

    >>> read_option("port=43113")
    ('port', 43113)
    """
    name, sign, value = (part.strip() for part in text.partition("="))
    if not sign or not name.isidentifier() or name in ("interface", "channel", "bitrate", "ignore_config"):
        return _finding("--bus-option", f"{text!r:.60} is no option of an interface", "write such as port=43113")
    if value.lower() in ("true", "yes", "false", "no"):
        return name, value.lower() in ("true", "yes")
    for kind in (int, float):
        try:
            return name, kind(value)
        except ValueError:
            continue
    return name, value


def _unknown(interface: str) -> Finding:
    known = sorted(can.VALID_INTERFACES)
    near = difflib.get_close_matches(interface, known, n=1)
    mend = f"did you mean {near[0]!r}?" if near else f"the interfaces are {', '.join(known)}"
    return _finding("--interface", f"{interface!r} is no interface of python-can", mend)


def _not_opened(interface: str, channel: str | None, failure: Exception) -> str:
    which = interface if channel is None else f"{interface}:{channel}"
    return f"{which} cannot be opened ({_words(failure)})"


def _mend(interface: str) -> str:
    if interface == "socketcan":
        return "see which there are: ip -br link show type can; bring it up: ip link set can0 up type can bitrate …"
    return f"check the channel's name, that it is plugged in, and that no other program holds it; {_SEE}"


def _words(failure: Exception) -> str:
    return " ".join(str(failure).split())[:200] or type(failure).__name__


def _finding(field: str, what: str, mend: str) -> Finding:
    return Finding(where=Where(file="bus", field=field), what=what, mend=mend, rule="bus")
