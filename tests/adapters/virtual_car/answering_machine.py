"""The module side by somebody else: scapy's answering machine on a bus of its own process.

scapy (GPL-2.0) is installed for development and runs here alone; nothing of it is imported into the project. Called
with one argument of JSON: channel, port, request and answer id (29-bit where above 7FF), and `answers`: request in
hex -> the messages that are sent to it, in hex. Another request is refused with 10, general reject, as scapy does.
"""

import json
import sys
from collections.abc import Callable
from typing import Any


def _is(wanted: str) -> Callable[[Any, Any], bool]:
    """Whether a request that came is this one."""
    return lambda _answer, came: bytes(came).hex() == wanted


def main(asked: dict[str, Any]) -> None:
    """Answer until standard input ends."""
    from scapy.config import conf  # noqa: PLC0415 - heavy, and of this process only

    conf.contribs["CANSocket"] = {"use-python-can": True}
    conf.contribs["ISOTP"] = {"use-can-isotp-kernel-module": False}
    from scapy.contrib.automotive.ecu import EcuAnsweringMachine, EcuResponse  # noqa: PLC0415 - the same
    from scapy.contrib.automotive.uds import UDS  # noqa: PLC0415 - the same
    from scapy.contrib.cansocket_python_can import PythonCANSocket  # noqa: PLC0415 - the same
    from scapy.contrib.isotp import ISOTPSoftSocket  # noqa: PLC0415 - the same

    place: Any = {"channel": asked["channel"], "port": asked["port"], "hop_limit": 0, "interface": "udp_multicast"}
    bus = PythonCANSocket(**place)
    socket = ISOTPSoftSocket(bus, tx_id=asked["answer"], rx_id=asked["request"], basecls=UDS, padding=True)
    responses = [
        EcuResponse(responses=[UDS(bytes.fromhex(one)) for one in said], answers=_is(request))
        for request, said in asked["answers"].items()
    ]
    machine = EcuAnsweringMachine(supported_responses=responses, main_socket=socket, basecls=UDS, verbose=False)
    print("ready", flush=True)
    machine(timeout=asked["seconds"])


if __name__ == "__main__":
    main(json.loads(sys.argv[1]))
