"""One idea: the state that a device shows and the state that the server has are both worked out, to be compared."""

import re
from collections.abc import Sequence
from datetime import datetime
from importlib.resources import files
from typing import Any

from playwright.sync_api import Page

from putback.bay import Pack, Received, now_of
from putback.core.car import Car
from putback.core.gates import Moment

_IMPORT = re.compile(r"^import [^;]*;\n", re.MULTILINE)
_EXPORT = re.compile(r"^export ", re.MULTILINE)

_VIEW = """
  const view = now(pack, rows.sort((a, b) => a.seq - b.seq), Date.now(), { person: "p-chaos", device: "d" });
  const sorted = (pairs) => pairs.sort((a, b) => a[0] - b[0]);
  return { items: view.state.item, joints: view.state.joint, energies: view.state.energy,
    done: sorted([...view.done]), fallen: [...view.fallen].sort(), owed: view.owed, off: view.off };
"""


def page_script() -> str:
    """The page's own reducer, as one function of a pack and the rows that a device keeps."""
    folder = files("putback.faces.web").joinpath("static")
    texts = [folder.joinpath(f"{name}.js").read_text(encoding="utf-8") for name in ("dom", "gates", "reduce")]
    whole = "\n".join(_EXPORT.sub("", _IMPORT.sub("", text)) for text in texts)
    return f"([pack, rows]) => {{\n{whole}\n{_VIEW}\n}}"


def folded_by_page(page: Page, script: str, pack: Pack, rows: Sequence[dict[str, Any]]) -> dict[str, Any]:
    """The job as the device folds it."""
    told: dict[str, Any] = page.evaluate(script, [pack, list(rows)])
    return told


def folded_by_server(pack: Pack, received: Sequence[Received], *, car: Car, at: datetime) -> dict[str, Any]:
    """The job as the server folds it."""
    now = now_of(pack, received, car=car, moment=Moment(at=at, person="p-chaos", device="d"))
    return {
        "items": dict(now.state.items),
        "joints": dict(now.state.joints),
        "energies": dict(now.state.energies),
        "done": [[n, id] for n, id in sorted(now.done_at.items())],
        "fallen": sorted(now.folded.taken_back),
        "owed": now.owed,
        "off": {joint: owed.off for joint, owed in now.counts.items()},
    }
