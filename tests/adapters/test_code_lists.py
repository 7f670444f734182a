"""A code list is read whole, with every fault at its line; what it does not say is unknown, and said to be."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.adapters.code_lists import ListRead, read_code_list, read_code_list_text
from putback.adapters.region_table import read_region
from putback.core.codes.lists.listing import Answer, Listing, Readiness
from putback.core.codes.verdicts.statement import RegionRule

HEAD = "# stage: before\n# modules answered: engine, brake\n"
TABLE = "module,code,status,text\n"


def read(text: str) -> ListRead:
    return read_code_list_text(text.encode(), "t.csv")


def good(text: str) -> Listing:
    found = read(text)
    assert found.listing is not None, found.findings
    return found.listing


def faults(text: str) -> list[str]:
    found = read(text)
    assert found.listing is None
    return [str(finding) for finding in found.findings if finding.kind == "fault"]


def test_everything_a_list_may_say() -> None:
    found = good(
        "# a remark\n# stage: After road test\n# modules answered: engine, Brake  Unit\n# modules silent: radar\n"
        "# mask engine: 7F\n# readiness: supported 8, complete 5\n# permanent: P0104, P0300\n"
        "# since the read before: 12 V was off\r\n"
        + TABLE
        + 'ENGINE, p1f46-13 ,0x2f,"open, circuit"\nbrake unit,C0123,8,\n'
    )
    assert (found.stage, found.since) == ("after road test", "12 V was off")
    assert found.readiness == Readiness(supported=8, complete=5)
    assert found.permanent == ("P0104", "P0300")
    assert [(one.module, one.code, one.bits, one.mask, one.text) for one in found.listed] == [
        ("engine", "P1F46-13", 0x2F, 0x7F, "open, circuit"),
        ("brake unit", "C0123", 0x08, 0xFF, ""),
    ]
    assert [found.answer(module) for module in ("brake unit", "radar", "gateway")] == [
        Answer.HEARD,
        Answer.NOT_HEARD,
        Answer.NOT_SAID,
    ]


def test_all_faults_at_once_each_at_its_line() -> None:
    assert [
        line.split("; ")[0]
        for line in faults(
            "# stage: sometime\n# readiness: supported 3, complete 4\n# mask engine: XYZ\n# stage: before\n"
            + TABLE
            + "engine,P4104,2B,\n,P0104,2B,\nengine,P0105,2BX,\nengine,P0106,2B,a,b\n"
        )
    ] == [
        "t.csv:1: stage: 'sometime' is no stage",
        "t.csv:2: readiness: 4 complete of 3 supported",
        "t.csv:3: mask engine: 'XYZ' is no byte",
        "t.csv:4: stage: 'stage' was said on line 1 already",
        "t.csv:6: code: 'P4104' is no code",
        "t.csv:7: module: no module is named",
        "t.csv:8: status: '2BX' is no status byte",
        "t.csv:9: 5 values for 4 columns",
    ]


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("", "the file is empty"),
        (HEAD, "there is no table"),
        (HEAD + "engine,P0104,2B,x\n", "is not the line of column names"),
        (
            "# modules answered: engine\n# modules silent: engine\n" + TABLE,
            "is said to have answered and to be silent",
        ),
        ("# modules silent: engine\n" + TABLE + "engine,P0104,2B,\n", "is said to be silent, and has a code"),
    ],
)
def test_what_cannot_be(text: str, what: str) -> None:
    assert any(what in fault for fault in faults(text))


def test_a_code_without_status_is_stored_and_nothing_else() -> None:
    found = read(HEAD + TABLE + "engine,P0104,,\n")
    assert found.listing is not None
    one = found.listing.listed[0]
    assert (one.failing, one.untested, one.passed) == (0x08, 0x50, False)
    assert "taken as stored" in str(found.findings[0])


def test_a_code_that_stands_twice_keeps_the_worse_bits() -> None:
    found = read(HEAD + TABLE + "engine,P0104,08,\nengine,P0104,50,\n")
    assert found.listing is not None
    assert [one.bits for one in found.listing.listed] == [0x58]
    assert "stands on line 4 already" in str(found.findings[0])


def test_padding_is_said_and_is_no_code() -> None:
    found = read(HEAD + TABLE + "engine,P0000,00,\n")
    assert found.listing is not None
    assert found.listing.listed == ()
    assert "padding" in str(found.findings[0])


def test_what_a_list_does_not_say_is_noted() -> None:
    found = read("# mdoules answered: engine\n" + TABLE)
    assert [str(finding).split("; ")[0] for finding in found.findings if finding.kind == "note"] == [
        "t.csv: stage: it is not said when it was read",
        "t.csv: modules answered: it is not said which modules answered: one without a code is unknown",
        "t.csv:1: mdoules answered: 'mdoules answered' is no key of a code list and is not read",
    ]


@given(st.binary(max_size=300) | st.text(max_size=300).map(str.encode))
def test_no_bytes_raise(data: bytes) -> None:
    assert (read_code_list_text(data, "t").listing is None) or True


@given(st.lists(st.text(alphabet='#:,"\n modulespernacgty0123456789ABFP-', max_size=40), max_size=8))
def test_nothing_like_a_list_raises(lines: list[str]) -> None:
    found = read(HEAD + TABLE + "\n".join(lines))
    assert found.listing is not None or found.findings


def test_a_missing_file_is_a_finding(tmp_path: Path) -> None:
    found = read_code_list(tmp_path / "none.csv")
    assert found.listing is None
    assert "check the name" in str(found.findings[0])


def test_the_table_of_regions(tmp_path: Path) -> None:
    table = tmp_path / "regions.csv"
    table.write_text("# mine\nregion,not complete allowed,source\nHarl,1,made up\n", encoding="utf-8")
    assert read_region(table, "harl") == RegionRule(region="Harl", most_not_complete=1, source="made up")
    unknown = read_region(table, "Quill")
    assert isinstance(unknown, tuple)
    assert "the table has: Harl" in str(unknown[0])
    table.write_text("region,not complete allowed,source\nHarl,some,made up\nQuill,1,\n", encoding="utf-8")
    wrong = read_region(table, "Harl")
    assert isinstance(wrong, tuple)
    assert [finding.where.line for finding in wrong] == [2, 3]
    for content in ("", "x,y\n"):
        table.write_text(content, encoding="utf-8")
        assert isinstance(read_region(table, "Harl"), tuple)


@pytest.mark.parametrize(
    ("table", "line", "said"),
    [
        ("module;code;status;text", 3, "separate the columns with commas"),
        ("module\tcode\tstatus", 3, "separate the columns with commas"),
        ('module,code,status,text\nengine,"P0100-11,2B,x', 4, "a quote is opened and not closed"),
    ],
)
def test_a_table_that_is_nearly_one_is_told_its_mend(table: str, line: int, said: str) -> None:
    text = f"# stage: before\n# modules answered: engine\n{table}\n"
    found = read_code_list_text(text.encode(), "list.csv")
    assert found.listing is None
    assert any(finding.where.line == line and said in str(finding) for finding in found.findings)


def test_a_status_may_say_of_which_bits_it_speaks() -> None:
    text = "# stage: before\n# modules answered: engine\nmodule,code,status,text\nengine,P0104,08 of 0C,\n"
    found = read_code_list_text(text.encode(), "list.csv").listing
    assert found is not None
    assert (found.listed[0].bits, found.listed[0].mask) == (0x08, 0x0C)
    wrong = read_code_list_text(text.replace("08 of 0C", "08 of many").encode(), "list.csv")
    assert wrong.listing is None
