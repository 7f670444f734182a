"""The document of intake names every point, view, question and key as the program has them."""

from pathlib import Path

from putback.core.gates import asking
from putback.core.intake import POINTS, VIEW_ID, VIEWS

DOCUMENT = (Path(__file__).parents[3] / "docs" / "intake.md").read_text(encoding="utf-8")


def test_every_point_of_intake_has_its_row() -> None:
    for point in POINTS:
        assert f"| `{point.id}` | `{point.kind}` | {point.name} |" in DOCUMENT
    assert ", ".join(f"`{VIEW_ID.format(view)}`" for view in VIEWS) in DOCUMENT


def test_every_question_has_its_row() -> None:
    for about in (asking.SCOPE_UNSIGNED, asking.PART_MISSING, asking.NOT_COMPARED, asking.PARTS_DIFFER):
        assert f"| `{about}` |" in DOCUMENT
