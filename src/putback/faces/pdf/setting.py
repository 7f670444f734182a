"""One idea: a paper is a template and what it says; the template reads data, and data is never read as markup.

The typesetter sees an empty folder and its own typefaces, so a paper depends on nothing of this machine.
"""

import json
import tempfile
from datetime import datetime
from functools import cache
from importlib.resources import files
from typing import Any

import typst


class NotSet(RuntimeError):
    """A paper that could not be set, with what the typesetter said."""


@cache
def _faces() -> typst.Fonts:
    return typst.Fonts(include_system_fonts=False)


@cache
def _template(name: str) -> bytes:
    folder = files("putback.faces.pdf").joinpath("templates")
    texts = [folder.joinpath(f"{one}.typ").read_text(encoding="utf-8") for one in ("family", name)]
    return "\n".join(texts).encode()


def pdf(name: str, says: dict[str, Any], *, at: datetime, attached: dict[str, str] | None = None) -> bytes:
    """Set a paper as PDF/A-3b.

    Args:
        name: of the template.
        says: what it says: JSON values.
        at: the time that stands in the file as its own: that of the record's last event.
        attached: texts that the template attaches, by name.

    Raises:
        NotSet: the typesetter refused; a sign that no typeface has is the usual reason.
    """
    inputs = {"says": json.dumps(says, ensure_ascii=False), **(attached or {})}
    with tempfile.TemporaryDirectory() as empty:
        compiler = typst.Compiler(
            _template(name), root=empty, font_paths=_faces(), ignore_system_fonts=True, sys_inputs=inputs
        )
        try:
            made = compiler.compile(format="pdf", pdf_standards="a-3b", timestamp=int(at.timestamp()))
        except typst.TypstError as wrong:
            raise NotSet(wrong.message) from wrong
    if not isinstance(made, bytes):
        raise NotSet("the typesetter gave no file")
    return made
