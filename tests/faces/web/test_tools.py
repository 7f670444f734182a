"""The owner's tool list in the workshop's pages: on the plan's torque card, and as a page with its dates."""

import itertools
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

import pytest

from faces.web.calling import Caller
from putback.adapters.car_file import demo_path
from putback.adapters.stores import open_store
from putback.bay import Bay, Opening, OpenJob, Shelf
from putback.faces.web import make_app

HOST = "127.0.0.1:8999"
SAMPLES = Path(__file__).parents[2] / "samples"


@dataclass
class Shop:
    """A workshop with one job."""

    bay: Bay
    caller: Caller
    job: str
    tools: Path

    def page(self, path: str) -> str:
        answer = self.caller.get(path)
        assert answer.status_code == 200
        return answer.text


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    folder, numbers = tmp_path_factory.mktemp("shop"), itertools.count()
    with open_store(str(folder / "store.db"), create=True) as store:
        bay = Bay(
            store=store,
            shelf=Shelf(folder / "files"),
            cars={demo_path().name: demo_path()},
            clock=lambda: datetime.fromisoformat("2026-11-26T08:00:00+01:00"),
            new_id=lambda: f"n{next(numbers)}",
            tools=folder / "tools.yaml",
        )
        opened = bay.open_job(Opening(car=demo_path().name, wanted=("thermostat-and-pump",)))
        assert isinstance(opened, OpenJob)
        yield Shop(
            bay=bay, caller=Caller(make_app(bay, hosts=[HOST]), HOST), job=opened.job, tools=folder / "tools.yaml"
        )


@pytest.fixture
def shop(served: Shop) -> Shop:
    served.tools.unlink(missing_ok=True)
    return served


def test_without_a_list(shop: Shop) -> None:
    assert "your wrench" not in shop.page(f"/jobs/{shop.job}")
    assert "There is no tool list yet. Write tools.yaml beside the store" in shop.page("/tools")


def test_the_torque_card_names_wrenches_and_the_list_is_read_anew(shop: Shop) -> None:
    shop.tools.write_bytes((SAMPLES / "good.tools.yaml").read_bytes())
    page = shop.page(f"/jobs/{shop.job}")
    assert 'data-head="your wrench"' in page
    assert "A at setting 22 N·m" in page
    text = shop.tools.read_text(encoding="utf-8").replace("due: 2027-03-01", "due: 2026-11-25")
    shop.tools.write_text(text, encoding="utf-8")
    late = shop.page(f"/jobs/{shop.job}")
    assert "A at setting 22 N·m" not in late
    assert "its calibration ran out on 2026-11-25" in late


def test_the_page_of_wrenches_says_until_when(shop: Shop) -> None:
    """Today is 2026-11-26: C ran out on 2026-10-14, and stands first."""
    shop.tools.write_bytes((SAMPLES / "good.tools.yaml").read_bytes())
    page = shop.page("/tools")
    assert page.index("2026-10-14") < page.index("2027-03-01")
    assert page.count("not in date: have it calibrated") == 1
    assert "1 × calibration not in date" in page
    assert "crow-foot 17" in page
    assert "flexible: no setting holds" in page


def test_faults_of_the_list_are_told_and_the_plan_is_shown(shop: Shop) -> None:
    shop.tools.write_bytes((SAMPLES / "bad.tools.yaml").read_bytes())
    page = shop.page(f"/jobs/{shop.job}")
    assert "Your tool list has faults" in page
    assert 'data-head="your wrench"' not in page
    told = shop.page("/tools")
    assert "wrenches.a.kind, line 5" in told
    assert "did you mean &#39;click&#39;?" in told


def test_a_hostile_list_is_text(shop: Shop) -> None:
    text = (SAMPLES / "good.tools.yaml").read_text(encoding="utf-8")
    shop.tools.write_text(text.replace("name: A", "name: '<script>alert(1)</script>'"), encoding="utf-8")
    for path in ("/tools", f"/jobs/{shop.job}"):
        page = shop.page(path)
        assert "<script>alert" not in page
        assert "&lt;script&gt;alert" in page


def test_the_question_for_a_wrench_takes_the_workshop_s_own_list(shop: Shop) -> None:
    """Range of wrench B, 20 to 100 N·m: tests/samples/good.tools.yaml; lever law 24 x 400 / 430 = 22.3."""
    asked = "/fasten/wrench?torque=24+N%C2%B7m&adapter=30&angle=0"
    assert shop.caller.get(asked).status_code == 422
    shop.tools.write_text((SAMPLES / "good.tools.yaml").read_text(encoding="utf-8"), encoding="utf-8")
    page = shop.page(asked)
    assert "at setting 22.3 N·m" in page or "at setting 21.4 N·m" in page
    assert "own list" in page
    shop.tools.write_text("putback: tools/1\nwrenches: 3\n", encoding="utf-8")
    broken = shop.caller.get(asked)
    assert broken.status_code == 422
    assert "tools.yaml:2" in broken.text
