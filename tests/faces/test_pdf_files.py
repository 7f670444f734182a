"""The three papers as files: PDF/A-3b as far as its structure shows, and the same bytes wherever they are made.

Rules of PDF/A-3 (ISO 19005-3) are from memory, each beside its check, and looked at with pikepdf, which shares no code
with the typesetter. No validator of the whole standard is here: those known to us need Java.
"""

import io
import os
import subprocess
import sys
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path
from typing import Any

import pikepdf
import pytest

from bay.demo_record import whole
from putback.adapters.stores import open_store
from putback.faces.pdf import PAPERS, paper


def papers(folder: Path) -> dict[str, bytes]:
    """All papers of the whole demo job, made from its first event on."""
    with open_store(str(folder / "store.db"), create=True) as store:
        made = whole(store, folder)
        return {name: paper(name, made.bay, made.view, made.plan, address="http://192.0.2.7:8070") for name in PAPERS}


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    return papers(tmp_path_factory.mktemp("files"))


@pytest.fixture(params=list(PAPERS))
def pdf(request: pytest.FixtureRequest, made: dict[str, bytes]) -> Iterator[pikepdf.Pdf]:
    with pikepdf.open(io.BytesIO(made[request.param])) as opened:
        yield opened


def dictionaries(pdf: pikepdf.Pdf) -> list[Any]:
    return [one for one in pdf.objects if isinstance(one, pikepdf.Dictionary | pikepdf.Stream)]


def test_it_says_what_it_is_in_plain_xmp(pdf: pikepdf.Pdf) -> None:
    """6.6: part 3, conformance B; the metadata stream has no filter, so that any program finds it."""
    meta = pdf.open_metadata()
    assert (meta["pdfaid:part"], meta["pdfaid:conformance"]) == ("3", "B")
    stream: Any = pdf.Root.Metadata
    assert "/Filter" not in stream
    assert b"pdfaid:part" in stream.read_raw_bytes()


def test_the_title_and_times_are_said_alike_in_both_places(pdf: pikepdf.Pdf) -> None:
    """6.6.3: where the information dictionary says a thing too, it says the same as the XMP."""
    meta, info = pdf.open_metadata(), pdf.docinfo
    assert str(info["/Title"]) == meta["dc:title"]
    digits = "".join(sign for sign in str(info["/CreationDate"]) if sign.isdigit())[:12]
    assert "".join(sign for sign in str(meta["xmp:CreateDate"]) if sign.isdigit())[:12] == digits


def test_its_colours_are_defined_by_a_profile_inside(pdf: pikepdf.Pdf) -> None:
    """6.2.3: one output intent with an embedded ICC profile."""
    (intent,) = pdf.Root.OutputIntents
    assert intent.S == pikepdf.Name.GTS_PDFA1
    profile: Any = intent.DestOutputProfile
    assert profile.read_bytes()[36:40] == b"acsp"  # the signature of a profile: ICC.1, 7.2.9


def test_it_is_not_locked_and_names_itself(pdf: pikepdf.Pdf) -> None:
    """6.1.3: no encryption; the trailer has an ID."""
    assert "/Encrypt" not in pdf.trailer
    assert len(pdf.trailer.ID) == 2


def test_nothing_in_it_acts_or_lies_elsewhere(pdf: pikepdf.Pdf) -> None:
    """6.1.7, 6.4, 6.5: no external streams, no LZW, no script, no form that fills itself, no action that leaves."""
    forbidden = {"/URI", "/Launch", "/JavaScript", "/SubmitForm", "/GoToR", "/ImportData", "/Sound", "/Movie"}
    for one in dictionaries(pdf):
        assert str(one.get("/S", "")) not in forbidden
        if isinstance(one, pikepdf.Stream):
            assert "/F" not in one
            assert "LZW" not in str(one.get("/Filter", ""))
    assert "/AcroForm" not in pdf.Root
    assert "/OpenAction" not in pdf.Root
    assert "/AA" not in pdf.Root


def test_every_typeface_is_inside_with_its_letters_by_meaning(pdf: pikepdf.Pdf) -> None:
    """6.2.11: font programs embedded. A ToUnicode map is more than level B asks: what is printed can be searched."""
    fonts = [one for one in dictionaries(pdf) if one.get("/Type") == pikepdf.Name.Font]
    described = [one for one in dictionaries(pdf) if one.get("/Type") == pikepdf.Name.FontDescriptor]
    assert described
    assert all("/FontFile2" in one or "/FontFile3" in one for one in described)
    composite = [one for one in fonts if one.get("/Subtype") == pikepdf.Name.Type0]
    assert composite
    assert all("/ToUnicode" in one for one in composite)


CODE = """
import sys; sys.path[:0] = [sys.argv[2]]
from hashlib import sha256
from pathlib import Path
from faces.test_pdf_files import papers
for name, content in papers(Path(sys.argv[1])).items():
    print(name, sha256(content).hexdigest())
"""


@pytest.mark.parametrize(
    ("zone", "seed", "letters"), [("Pacific/Kiritimati", "1", "C"), ("America/Lima", "2", "tr_TR")]
)
def test_the_same_job_gives_the_same_bytes_in_any_process_zone_and_language(
    made: dict[str, bytes], zone: str, seed: str, letters: str, tmp_path: Path
) -> None:
    """Two zones 19 hours apart; other seeds of the hashes of Python; another language of the machine."""
    around = {**os.environ, "TZ": zone, "PYTHONHASHSEED": seed, "LANG": letters, "LC_ALL": letters, "PYTHONUTF8": "1"}
    command = [sys.executable, "-c", CODE, str(tmp_path), str(Path(__file__).parents[1])]
    done = subprocess.run(command, capture_output=True, text=True, check=True, timeout=300, env=around, cwd=tmp_path)
    assert done.stdout.split("\n")[:-1] == [f"{name} {sha256(one).hexdigest()}" for name, one in made.items()]
