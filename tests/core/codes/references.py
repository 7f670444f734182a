"""One idea: what other people's libraries make of the same bytes is asked in a process of their own.

Independent references, each for facts only: nothing of theirs is imported into this process or copied.
scapy (GPL-2.0) and udsoncan (MIT), py-uds (MIT) are installed for development. python-OBD (GPL-2.0) pins an older
library of units, so what python-OBD 0.7.3 says is kept in `printed/obd_0_7_3.csv`; name the Python of an environment
that has it in PUTBACK_OBD_PYTHON, and the kept values are asked for again and compared.
"""

import csv
import functools
import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

KEPT = Path(__file__).parent / "printed" / "obd_0_7_3.csv"
RAW_VALUES = ("0000", "0001", "1234", "7FFF", "8000", "FFFF")
"""Raw values that every unit is compared at."""

_MISSING = 77


def ask(module: str, script: str, given: object, *, python: str = sys.executable) -> Any:
    """What a script prints as JSON; it finds `given` read from JSON under that name. Skips loudly without the module.

    The script runs in a process of its own, and starts after `module` was found.
    """
    head = (
        f"import importlib.util, json, sys\n"
        f"found = importlib.util.find_spec({module!r}) is not None\n"
        f"sys.exit({_MISSING}) if not found else None\n"
        f"given = json.load(sys.stdin)\n"
    )
    done = subprocess.run(
        [python, "-W", "ignore", "-c", head + script],
        input=json.dumps(given),
        capture_output=True,
        text=True,
        check=False,
        timeout=300,
    )
    if done.returncode == _MISSING:
        pytest.skip(f"REFERENCE MISSING: {module} is not installed, so nothing was compared with it")
    assert done.returncode == 0, done.stderr[-2000:]
    return json.loads(done.stdout)


SCAPY_LIVE = """
from scapy.contrib.automotive.obd.pid import pids
from scapy.fields import ScalingField
said = []
for pid, text in given:
    kind = getattr(pids, f"OBD_PID{pid:02X}", None)
    if kind is None:
        said.append(None)
        continue
    packet = kind(bytes.fromhex(text))
    names = [field.name for field in kind.fields_desc if isinstance(field, ScalingField)]
    said.append([float(packet.getfieldval(name)) for name in names])
print(json.dumps(said))
"""

SCAPY_UNITS = """
from scapy.contrib.automotive.obd.mid import mids
said = []
for number, text in given:
    record = mids.OBD_MIDXX(bytes([1, number]) + bytes.fromhex(text) + bytes(4))
    said.append(float(record.test_value))
print(json.dumps(said))
"""

OBD_LIVE = """
from obd.commands import __mode1__
from obd.protocols.protocol import Message
said = []
for pid, text in given:
    command = __mode1__[pid] if pid < len(__mode1__) else None
    message = Message([])
    message.data = bytearray([0x41, pid]) + bytearray.fromhex(text)
    value = command.decode([message]) if command is not None else None
    said.append(None if value is None or not hasattr(value, "magnitude") else float(value.magnitude))
print(json.dumps(said))
"""

OBD_UNITS = """
from obd.UnitsAndScaling import UAS_IDS
said = []
for number, text in given:
    read = UAS_IDS.get(number)
    value = None if read is None else read(bytes.fromhex(text))
    said.append(None if value is None else float(getattr(value, "magnitude", value)))
print(json.dumps(said))
"""


@functools.cache
def kept() -> dict[tuple[str, int, str], float | None]:
    """What python-OBD 0.7.3 said: by kind ("pid" or "unit"), number and bytes."""
    with KEPT.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(line for line in file if not line.startswith("#")))
    return {
        (row["kind"], int(row["number"], 16), row["bytes"]): float(row["value"]) if row["value"] else None
        for row in rows
    }


def obd_python() -> str:
    """The Python that has python-OBD; skips where none is named."""
    named = os.environ.get("PUTBACK_OBD_PYTHON")
    if named is None:
        pytest.skip("PUTBACK_OBD_PYTHON names no Python with python-OBD: its kept values were used, not asked again")
    return named


def raw_bytes(length: int) -> list[str]:
    """Bytes of a length at which every PID is compared: lowest, highest, and four between."""
    patterns = (bytes(7), b"\xff" * 7, b"\x80\x00" * 4, b"\x7f\xff" * 4)
    mixed = (b"\x70\x8f\x12\x34\x56\x9a\xbc", b"\xee\x3b\xcc\x6a\x01\x02\x03")
    return [pattern[:length].hex().upper() for pattern in (*patterns, *mixed)]
