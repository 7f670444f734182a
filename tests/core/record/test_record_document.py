"""The document of the record names every kind of event with its fields, and its recipe gives the chain's hash."""

import subprocess
from pathlib import Path
from shutil import which

import pytest

from core.record.made import chained
from putback.core.record import EVENTS

DOCUMENT = Path(__file__).parents[3] / "docs" / "record.md"


@pytest.mark.parametrize("kind", EVENTS)
def test_every_kind_has_its_row(kind: str) -> None:
    shape = EVENTS[kind]
    named = [", ".join(f"`{name}`" for name in fields) or "–" for fields in (shape.must, shape.may)]
    assert f"| {kind} | {shape.says} | {named[0]} | {named[1]} |" in DOCUMENT.read_text(encoding="utf-8")


@pytest.mark.skipif(which("sha256sum") is None or which("sh") is None, reason="no shell with sha256sum here")
def test_the_recipe_gives_the_hash() -> None:
    """The lines of the document, run by sh."""
    link = chained(1)[0]
    text = DOCUMENT.read_text(encoding="utf-8")
    begin = text.index("before=$(printf")
    recipe = text[begin : text.index("```", begin)]
    recipe = recipe.replace("job-2026-031", link.job).replace("2026-03-02T07:15:01Z", link.received_at)
    said = subprocess.run(
        ["sh", "-c", recipe],
        capture_output=True,
        env={"event": link.content.decode(), "PATH": "/usr/bin:/bin"},
        check=True,
    )
    assert said.stdout.split()[0].decode() == link.hash
