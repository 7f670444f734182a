"""Random whole answers to services 01, 06 and 09, 400 each, as an independent library reads them.

scapy 2.8.0 (GPL-2.0, in a process of its own). What it reads otherwise than two other references is left out here and
told in the table of disputed PIDs, with one test each beside it. Services 03, 07, 0A and 19: test_code_answers.py and
test_report_answers.py.
"""

import random

from core.codes.references import ask
from putback.core.codes.meaning.monitors import MONITORS, MonitorTest, read_monitors
from putback.core.codes.meaning.pid_table import DISPUTED, PIDS
from putback.core.codes.meaning.pids import read_live
from putback.core.codes.meaning.scaling import SCALINGS
from putback.core.codes.meaning.vehicle import KINDS, read_info

SCAPY_LIVE_ANSWERS = """
from scapy.contrib.automotive.obd.obd import OBD
from scapy.fields import ScalingField
said = []
for text in given:
    rows = []
    for record in OBD(bytes.fromhex(text)).data_records:
        names = [field.name for field in record.payload.fields_desc if isinstance(field, ScalingField)]
        rows.append([record.pid, [float(record.payload.getfieldval(name)) for name in names]])
    said.append(rows)
print(json.dumps(said))
"""

SCAPY_MONITOR_ANSWERS = """
from scapy.contrib.automotive.obd.obd import OBD
names = ["standardized_test_id", "unit_and_scaling_id", "test_value", "min_limit", "max_limit"]
said = []
for text in given:
    records = OBD(bytes.fromhex(text)).data_records
    said.append([[record.mid] + [float(record.payload.getfieldval(name)) for name in names] for record in records])
print(json.dumps(said))
"""

SCAPY_INFO_ANSWERS = """
from scapy.contrib.automotive.obd.obd import OBD
said = []
for text in given:
    record = OBD(bytes.fromhex(text)).data_records[0]
    found = record.payload
    items = found.getfieldval(found.fields_desc[1].name)
    said.append([record.iid, found.count, [bytes(item).hex() for item in items]])
print(json.dumps(said))
"""

ROUNDS = 0.00051
"""scapy prints three decimals."""

CLOSE = 1e-3
"""It prints rounded factors (0.000122)."""

COMPARED = [pid for pid, row in PIDS.items() if row.figures and row.length is not None and pid not in DISPUTED]
PLAIN = [pid for pid in COMPARED if pid != 0x8E and all(figure.there_bit is None for figure in PIDS[pid].figures)]
"""PIDs whose figures are always there; scapy has none for 8E."""


def _close(ours: float, theirs: float) -> bool:
    return abs(ours - theirs) <= CLOSE * abs(theirs) + ROUNDS


def test_400_random_live_answers_are_as_scapy_reads_them() -> None:
    dice = random.Random(1)
    texts, ours = [], []
    for _ in range(400):
        pids = dice.sample(PLAIN, dice.randrange(1, 7))
        sent = b"\x41" + b"".join(bytes([pid]) + dice.randbytes(PIDS[pid].length or 0) for pid in pids)
        texts.append(sent.hex())
        answer = read_live(sent)
        assert not answer.wrong
        ours.append(
            [(live.pid, [figure.value(live.data) for figure in PIDS[live.pid].figures]) for live in answer.values]
        )
    for mine, theirs in zip(ours, ask("scapy", SCAPY_LIVE_ANSWERS, texts), strict=True):
        assert [pid for pid, _ in mine] == [pid for pid, _ in theirs]
        for (pid, values), (_, expected) in zip(mine, theirs, strict=True):
            for value, other in zip(values, expected[: len(values)], strict=True):
                # None: FF in a trim means that it is not used, which scapy does not say
                assert value is None or _close(value, other), f"{pid:02X}"


def _row(test: MonitorTest) -> list[float]:
    row = SCALINGS[test.scaling]
    factor = 1000 if test.scaling in (0x0A, 0x8A) else 1
    values = [(raw * row.step + row.plus) * factor for raw in (test.raw, test.raw_least, test.raw_most)]
    return [test.monitor, test.test, test.scaling, *values]


def test_400_random_monitor_answers_are_as_scapy_reads_them() -> None:
    """Units that scapy has; of a truth value (2E) it makes something else above 1. It gives 0A and 8A in mV,
    and does not know monitor 31."""
    dice = random.Random(2)
    units = [number for number, row in SCALINGS.items() if row.confirmed and number != 0x2E]
    monitors = [monitor for monitor in MONITORS if monitor != 0x31]
    texts = []
    for _ in range(400):
        records = [
            bytes([dice.choice(monitors), dice.randrange(1, 256), dice.choice(units)]) + dice.randbytes(6)
            for _ in range(dice.randrange(1, 9))
        ]
        texts.append((b"\x46" + b"".join(records)).hex())
    said = ask("scapy", SCAPY_MONITOR_ANSWERS, texts)
    for text, theirs in zip(texts, said, strict=True):
        answer = read_monitors(bytes.fromhex(text))
        assert not answer.wrong
        ours = [_row(test) for test in answer.tests]
        assert len(ours) == len(theirs)
        for mine, other in zip(ours, theirs, strict=True):
            close = [_close(a, b) for a, b in zip(mine, other, strict=True)]
            assert all(close), (text, mine, other)


def test_400_random_answers_about_the_vehicle_are_as_scapy_reads_them() -> None:
    """Numbers, calibrations, check numbers and module names, of letters and digits; one item to four."""
    dice = random.Random(3)
    texts, ours = [], []
    for _ in range(400):
        kind = dice.choice([0x02, 0x04, 0x06, 0x0A])
        count = dice.randrange(1, 5)
        signs = [dice.choice(b"ABCDEFGHJKLMNPRSTUVWXYZ0123456789") for _ in range(count * KINDS[kind].size)]
        sent = bytes([0x49, kind, count, *signs])
        texts.append(sent.hex())
        answer = read_info(sent)
        assert not answer.wrong
        ours.append([answer.kind, answer.stated, [item.data.hex() for item in answer.items]])
    assert ours == ask("scapy", SCAPY_INFO_ANSWERS, texts)
