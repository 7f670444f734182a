"""One idea: the page's script is run by the machine's node, else by the one that playwright brings along."""

import shutil
from pathlib import Path

from playwright._impl._driver import compute_driver_executable


def node_path() -> str | None:
    """Where a node is; None where there is none."""
    brought, _ = compute_driver_executable()
    return shutil.which("node") or (brought if Path(brought).exists() else None)
