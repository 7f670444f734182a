"""One idea: the page's script is run by the machine's node, else by the one that playwright brings along."""

import re
import shutil
from importlib.resources import files
from pathlib import Path

from playwright._impl._driver import compute_driver_executable


def node_path() -> str | None:
    """Where a node is; None where there is none."""
    brought, _ = compute_driver_executable()
    return shutil.which("node") or (brought if Path(brought).exists() else None)


def copy_modules(folder: Path) -> None:
    """The page's modules that work out the job now, unchanged but for the names by which node tells a module."""
    for name in ("dom", "gates", "reduce"):
        text = files("putback.faces.web").joinpath("static", f"{name}.js").read_text(encoding="utf-8")
        (folder / f"{name}.mjs").write_text(re.sub(r'from "(\./\w+)\.js"', r'from "\1.mjs"', text), encoding="utf-8")
