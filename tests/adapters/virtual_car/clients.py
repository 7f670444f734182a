"""What other people's programs read from the virtual car, each in a process of its own, on a bus between programs.

udsoncan (MIT) asks over can-isotp (MIT); scapy (GPL-2.0, for development only, nothing copied) asks over its own
ISO-TP. Each script is given channel, port, and the ids; it prints what its library made of the answers.
"""

UDSONCAN = """
import can, isotp, udsoncan
from udsoncan.client import Client
from udsoncan.connections import PythonIsoTpConnection
from udsoncan.services import ReadDTCInformation, DiagnosticSessionControl

config = dict(udsoncan.configs.default_client_config)
config["data_identifiers"] = {0xF190: udsoncan.AsciiCodec(17), 0xF197: udsoncan.AsciiCodec(given["name_length"])}
config["request_timeout"] = 5
config["p2_timeout"] = 1
config["use_server_timing"] = False
config["standard_version"] = 2013

def tried(work):
    try:
        return work()
    except udsoncan.exceptions.NegativeResponseException as refusal:
        return f"{refusal.response.code:02X}"

def listed(response):
    return [[f"{code.id:06X}", code.status.get_byte_as_int()] for code in response.service_data.dtcs]

with can.Bus(interface="udp_multicast", channel=given["channel"], port=given["port"], hop_limit=0) as bus:
    mode = isotp.AddressingMode.Normal_29bits if given["extended"] else isotp.AddressingMode.Normal_11bits
    address = isotp.Address(mode, txid=given["request"], rxid=given["answer"])
    stack = isotp.CanStack(bus, address=address, params={"tx_padding": 0xCC})
    with Client(PythonIsoTpConnection(stack), config=config) as client:
        said = {
            "by mask": tried(lambda: listed(client.get_dtc_by_status_mask(0xFF))),
            "session": (session := tried(lambda: client.change_session(3).service_data)).session_echo,
            "p2 ms": round(session.p2_server_max * 1000),
            "confirmed": tried(lambda: listed(client.get_dtc_by_status_mask(0x08))),
            "count": tried(lambda: client.get_number_of_dtc_by_status_mask(0xFF).service_data.dtc_count),
            "supported": tried(lambda: listed(client.get_supported_dtc())),
            "permanent": tried(lambda: listed(client.get_dtc_with_permanent_status())),
            "other report": tried(lambda: listed(client.get_first_test_failed_dtc())),
            "vin": tried(lambda: client.read_data_by_identifier_first(0xF190)),
            "both": tried(lambda: [*client.read_data_by_identifier([0xF190, 0xF197]).service_data.values.values()]),
            "present": tried(lambda: client.tester_present().service_data.subfunction_echo),
            "other session": tried(lambda: client.change_session(2)),
            "reset": tried(lambda: client.ecu_reset(1)),
            "clear one group": tried(lambda: client.clear_dtc(0x123456)),
        }
        if given["clear"]:
            said["cleared"] = tried(lambda: client.clear_dtc(0xFFFFFF)) is not None
            said["after clear"] = tried(lambda: listed(client.get_dtc_by_status_mask(0xFF)))
print(json.dumps(said))
"""

SCAPY = """
from scapy.config import conf
conf.contribs["CANSocket"] = {"use-python-can": True}
conf.contribs["ISOTP"] = {"use-can-isotp-kernel-module": False}
from scapy.contrib.automotive.obd.obd import OBD
from scapy.contrib.automotive.uds import UDS
from scapy.contrib.cansocket_python_can import PythonCANSocket
from scapy.contrib.isotp import ISOTPSoftSocket

def asked(ids, request, kind):
    bus = PythonCANSocket(interface="udp_multicast", channel=given["channel"], port=given["port"], hop_limit=0)
    socket = ISOTPSoftSocket(bus, tx_id=ids[0], rx_id=ids[1], basecls=kind, padding=True)
    answer = socket.sr1(kind(bytes.fromhex(request)), timeout=3, verbose=False)
    socket.close()
    bus.close()
    return answer

def words(packet):
    if packet is None:
        return None
    found = {}
    while packet:
        fields = {}
        for field in packet.fields_desc:
            value = packet.getfieldval(field.name)
            if isinstance(value, (bytes, bytearray)):
                value = value.hex()
            if isinstance(value, list):
                value = [words(one) if hasattr(one, "fields_desc") else repr(one) for one in value]
            if hasattr(value, "fields_desc"):
                value = words(value)
            fields[field.name] = value
        found.setdefault(type(packet).__name__, fields)
        packet = packet.payload if packet.payload and type(packet.payload).__name__ != "NoPayload" else None
    return found

said = []
for ids, request, service in given["asked"]:
    answer = asked(ids, request, UDS if service == "uds" else OBD)
    said.append([None if answer is None else bytes(answer).hex(), words(answer)])
print(json.dumps(said, default=repr))
"""
