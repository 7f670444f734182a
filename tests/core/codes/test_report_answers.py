"""Reports of service 19 with layouts of their own: random answers against three libraries, cuts, what stays bytes."""

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.codes.references import ask
from putback.core.codes.meaning.answers import read_answer
from putback.core.codes.meaning.report_answers import REPORTS, Noted, ReportAnswer, read_report
from putback.core.codes.meaning.wrong import Wrong

UDSONCAN_REPORTS = """
from udsoncan import Response
from udsoncan.services import ReadDTCInformation
said = []
for text in given:
    response = Response.from_payload(bytes.fromhex(text))
    report = bytes.fromhex(text)[1]
    data = ReadDTCInformation.interpret_response(response, subfunction=report).service_data
    plain = report in (0x08, 0x09, 0x17, 0x42)
    for dtc in data.dtcs:
        said.append([dtc.id, dtc.status.get_byte_as_int() if plain else None,
                     dtc.severity.get_byte_as_int() if report in (0x08, 0x09, 0x42) else None,
                     dtc.functional_unit, dtc.fault_counter,
                     dtc.snapshots[0] if report == 0x03 else None])
print(json.dumps(said))
"""

PY_UDS_REPORTS = """
from uds.translator import BASE_TRANSLATOR
service = next(value for key, value in BASE_TRANSLATOR.services_mapping.items() if int(key) == 0x19)
wanted = ["DTC", "DTCStatus", "DTCSeverity", "DTCFunctionalUnit",
          "DTCFaultDetectionCounter", "DTCSnapshotRecordNumber"]
def found(nodes):
    names = {node["name"]: node["raw_value"] for node in nodes if hasattr(node, "keys")}
    if "DTC" in names:
        return [[names.get(name) for name in wanted]]
    return [row for node in nodes for row in found((node.get("children") or ()) if hasattr(node, "keys") else node)]
print(json.dumps([row for text in given for row in found(service.decode(bytes.fromhex(text)))]))
"""

SCAPY_REPORTS = """
from scapy.contrib.automotive.uds import UDS
said = []
for text in given:
    answer = UDS(bytes.fromhex(text))
    kind = answer.reportType
    parts = {0x04: "snapshotRecord", 0x06: "extendedDataRecord"}
    if kind in parts:
        records = [answer.getfieldval(parts[kind]).dtcAndStatus]
    else:
        records = answer.DTCAndStatusRecord
    for record in records:
        severe = kind == 0x09
        said.append([int.from_bytes(bytes(record.dtc)[:3], "big"), int(record.status),
                     int(answer.DTCSeverity) if severe else None,
                     int(answer.DTCFunctionalUnit) if severe else None, None, None])
print(json.dumps(said))
"""


def _answers(number: int, reports: tuple[int, ...], most: int = 20) -> list[str]:
    """Random answers without records of zeros, every code once; heads with format 04."""
    dice = random.Random(20261126)
    texts = []
    for place in range(number):
        report = reports[place % len(reports)]
        layout = REPORTS[report]
        head = bytes(4 if field == "form" else dice.randrange(256) for field in layout.head)
        count = 1 if layout.data or report == 0x09 else dice.randrange(most)
        at = layout.record.index("code")
        codes = dice.sample(range(1, 1 << 24), count)
        records = [
            dice.randbytes(at) + code.to_bytes(3, "big") + dice.randbytes(layout.size - at - 3) for code in codes
        ]
        texts.append((bytes([0x59, report]) + head + b"".join(records)).hex())
    return texts


def _ours(texts: list[str], severity_bits: int = 0xFF) -> list[list[int | None]]:
    answers = [read_report(bytes.fromhex(text)) for text in texts]
    reports = [answer for answer in answers if isinstance(answer, ReportAnswer) and answer.whole]
    assert len(reports) == len(texts)
    return [_row(noted, severity_bits) for report in reports for noted in report.noted]


def _row(noted: Noted, severity_bits: int) -> list[int | None]:
    return [
        int.from_bytes(noted.code.bytes, "big"),
        None if noted.status is None else noted.status.bits,
        None if noted.severity is None else noted.severity & severity_bits,
        noted.unit,
        noted.counter,
        noted.number,
    ]


def test_400_random_reports_are_as_udsoncan_reads_them() -> None:
    """udsoncan 1.26.1 (MIT); of a severity it gives the three upper bits."""
    texts = _answers(400, (0x03, 0x08, 0x09, 0x14, 0x17, 0x42))
    assert _ours(texts, 0xE0) == ask("udsoncan", UDSONCAN_REPORTS, texts)


def test_400_random_reports_are_as_py_uds_reads_them() -> None:
    """py-uds 4.0.0 (MIT)."""
    texts = _answers(400, (0x03, 0x04, 0x06, 0x08, 0x09, 0x14, 0x17, 0x42), most=6)
    assert _ours(texts) == ask("uds", PY_UDS_REPORTS, texts)


def test_400_random_reports_are_as_scapy_reads_them() -> None:
    """scapy 2.8.0 (GPL-2.0, in a process of its own); it knows neither 42 nor 17."""
    texts = _answers(400, (0x04, 0x06, 0x09, 0x0F))
    assert _ours(texts) == ask("scapy", SCAPY_REPORTS, texts)


def test_what_the_references_read_differently_stays_bytes() -> None:
    """Report 55: udsoncan 1.26.1 reads records of five bytes, py-uds 4.0.0 of four (run here); 56: none reads it."""
    permanent = read_report(bytes.fromhex("5955 33FB04 0A9B1724"))
    assert isinstance(permanent, ReportAnswer)
    assert (dict(permanent.head), permanent.noted) == ({"group": 0x33, "mask": 0xFB, "form": 4}, ())
    assert permanent.data == bytes.fromhex("0A9B1724")
    assert "not confirmed" in permanent.wrong[0].what
    group = read_report(bytes.fromhex("5956 33FB"))
    assert isinstance(group, ReportAnswer)
    assert (group.data.hex(), group.whole) == ("33fb", False)


def test_codes_in_another_format_are_not_spelt_as_if_they_were_ours() -> None:
    """Format 02 is SAE J1939-73 (seen: scapy 2.8.0): three bytes that are no code of SAE J2012."""
    answer = read_report(bytes.fromhex("5942 33FFFF02 80 0A9B17 24"))
    assert isinstance(answer, ReportAnswer)
    assert (answer.noted, answer.data.hex()) == ((), "800a9b1724")
    assert "SAE J1939-73" in answer.wrong[0].what
    unknown = read_report(bytes.fromhex("5942 33FFFF09"))
    assert isinstance(unknown, ReportAnswer)
    assert "format 09" in unknown.wrong[0].what


def test_a_status_is_read_under_its_mask() -> None:
    answer = read_report(bytes.fromhex("5942 33 0F FF 04 20 0A9B17 F8"))
    assert isinstance(answer, ReportAnswer)
    (noted,) = answer.noted
    assert noted.status is not None
    assert (noted.status.mask, noted.status.untested) == (0x0F, None)
    assert noted.urgent == ("service when convenient",)


@pytest.mark.parametrize("report", [report for report, layout in REPORTS.items() if layout.record])
def test_a_report_cut_off_anywhere_is_never_silently_short(report: int) -> None:
    layout = REPORTS[report]
    head = bytes(4 for _ in layout.head)
    count = 1 if layout.data else 3
    sent = bytes([0x59, report]) + head + b"\x11" * (layout.size * count)
    for end in range(len(sent)):
        answer = read_report(sent[:end])
        if isinstance(answer, Wrong):
            assert end < 2
            continue
        records = end - 2 - len(head)
        assert answer.whole is (records >= 0 and not layout.data and records % layout.size == 0)
        assert len(answer.noted) == max(records, 0) // layout.size


def test_a_gap_and_padding_are_told_apart() -> None:
    gap = read_report(bytes.fromhex("5903 00000000 0A9B1701 000000"))
    assert isinstance(gap, ReportAnswer)
    assert (len(gap.noted), gap.padding) == (1, 7)
    assert "1 empty place stands between codes" in gap.wrong[0].what


def test_the_door_takes_every_report() -> None:
    for report in range(256):
        answer = read_answer(bytes([0x59, report]))
        if report in REPORTS:
            assert isinstance(answer, ReportAnswer)
            assert answer.report == report
        else:
            assert not isinstance(answer, ReportAnswer)


@given(st.integers(0, 255), st.binary(max_size=60))
def test_no_bytes_make_it_raise(report: int, tail: bytes) -> None:
    assert isinstance(read_report(tail), ReportAnswer | Wrong)
    answer = read_report(bytes([0x59, report]) + tail)
    if isinstance(answer, ReportAnswer):
        used = len(answer.head) + REPORTS[report].size * len(answer.noted) + len(answer.data) + answer.padding
        assert used <= len(tail)
        assert answer.wrong or used == len(tail)
