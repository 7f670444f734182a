"""One idea: the bay page's script is written as small modules and sent as one, so a phone asks once and loads least.

The modules stand in the order of their needs. Their names are joined in one scope: a name is used once in all of them
(a test sees to that), so imports and exports can be left out.
"""

import json
import re
from importlib.resources import files

from putback.bay.quick import TABLES

MODULES = ("clock", "dom", "keep", "gates", "reduce", "here", "ask", "act", "bay")
"""The modules of the bay page, each after those it needs."""

_IMPORT = re.compile(r"^import [^;]*;\n", re.MULTILINE)
_EXPORT = re.compile(r"^export ", re.MULTILINE)


def joined() -> str:
    """All modules as one script, to be read as a module of its own."""
    folder = files("putback.faces.web").joinpath("static")
    texts = (folder.joinpath(f"{name}.js").read_text(encoding="utf-8") for name in MODULES)
    whole = "\n".join(_EXPORT.sub("", _IMPORT.sub("", text)) for text in texts)
    return f"(async () => {{\n{whole}\n}})();\n"


def quick_script() -> str:
    """The script that reads a line: a module of its own, loaded when the line is touched, with the core's tables."""
    own = files("putback.faces.web").joinpath("static", "quick.js").read_text(encoding="utf-8")
    tables = json.dumps(TABLES, ensure_ascii=False, separators=(",", ":"))
    return f"const T = {tables};\n{_IMPORT.sub('', own)}"
