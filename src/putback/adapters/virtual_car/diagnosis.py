"""One idea: every module answers the reading services of ISO 14229-1 from what it holds: code lists, and its name.

Written apart from the readers in `core.codes`, as `emission` is.
"""

from collections.abc import Iterable
from types import MappingProxyType
from typing import Final

from putback.adapters.virtual_car.modules import VIN
from putback.adapters.virtual_car.scene import Held, State
from putback.core.codes.meaning.status import AFTER_CLEAR

READ_CODES: Final = 0x19
NO_SUCH_PART: Final = 0x12
WRONG_FORM: Final = 0x13
OUT_OF_RANGE: Final = 0x31

_COUNT, _BY_MASK, _SUPPORTED, _PERMANENT = 0x01, 0x02, 0x0A, 0x15
_REPORTS: Final = MappingProxyType({_COUNT: 1, _BY_MASK: 1, _SUPPORTED: 0, _PERMANENT: 0})
"""The reports, and how many bytes their requests carry after the report's number."""

_MASK: Final = 0xFF
_FORM: Final = 0x01
"""Three-byte codes of ISO 14229-1."""
_VEHICLE_NUMBER, _NAME = 0xF190, 0xF197


def read_codes(request: bytes, state: State) -> bytes | int:
    """The answer to service 19 by its report; a number is the reason of a refusal."""
    if len(request) < 2:
        return WRONG_FORM
    report, rest = request[1] & 0x7F, request[2:]
    if report not in _REPORTS:
        return NO_SUCH_PART
    if len(rest) != _REPORTS[report]:
        return WRONG_FORM
    return _by_mask(report, rest[0], state) if rest else _of_codes(report, state)


def _by_mask(report: int, mask: int, state: State) -> bytes:
    found = [held for held in state.held if held.status & mask]
    if report == _COUNT:
        return bytes([0x59, report, _MASK, _FORM]) + len(found).to_bytes(2, "big")
    return _listed(report, found)


def _of_codes(report: int, state: State) -> bytes:
    status = {held.code: held.status for held in state.held}
    other = AFTER_CLEAR if state.erased else 0x00
    codes = state.known if report == _SUPPORTED else state.permanent
    return _listed(report, (Held(code=code, status=status.get(code, other)) for code in codes))


def _listed(report: int, held: Iterable[Held]) -> bytes:
    return bytes([0x59, report, _MASK]) + b"".join(one.code.bytes + bytes([one.status]) for one in held)


def read_data(request: bytes, state: State) -> bytes | int:
    """The answer to service 22: the vehicle number and the module's name; a number is the reason of a refusal."""
    wanted = request[1:]
    if not wanted or len(wanted) % 2:
        return WRONG_FORM
    known = {_VEHICLE_NUMBER: VIN.encode("ascii"), _NAME: state.module.encode("utf-8")}
    ids = [int.from_bytes(wanted[place : place + 2], "big") for place in range(0, len(wanted), 2)]
    found = b"".join(id.to_bytes(2, "big") + known[id] for id in ids if id in known)
    return b"\x62" + found if found else OUT_OF_RANGE
