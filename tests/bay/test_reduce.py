"""The page's reducer against the core, on the same histories: what one says, the other says.

The judge is the core (its own tests hold it against outside sources). Node runs the page's own file, unchanged.
"""

import json
import os
import subprocess
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from bay.histories import Raw, history
from bay.node import copy_modules, node_path
from bay.packs import demo_pack, demo_plan, random_plans
from putback.bay import Pack, Received, looks_of, now_of
from putback.bay.pack import pack_bytes
from putback.core.car import Car
from putback.core.gates import Moment
from putback.core.job import Seat
from putback.core.record import read_event

ROUNDS = int(os.environ.get("PUTBACK_HISTORIES", "1500"))
MOMENT = datetime.fromisoformat("2026-03-02T09:04:30+01:00")

LOOK = ("item", "minutes", "short", "plugs")

SCRIPT = """
import { now, looks } from "./reduce.mjs";
import { readFileSync, writeFileSync } from "node:fs";
const { packs, histories, at } = JSON.parse(readFileSync(process.argv[2], "utf8"));
const told = histories.map(({ pack, records, later }) => {
  const view = now(packs[pack], records, at + later, { person: "p1", device: "d0", east: 3_600_000 });
  const { state } = view;
  return {
    items: state.item, joints: state.joint, energies: state.energy, fluids: state.fluid, guards: state.guard,
    litres: state.litres, waited: [...state.waited].sort(), renewed: [...state.renewed].sort(),
    fallen: [...view.fallen].sort(), unknown: view.unknown, done: [...view.done].sort((a, b) => a[0] - b[0]),
    standing: view.standing, suggested: view.suggested, owed: view.owed,
    off: view.off,
    out: Object.fromEntries(Object.entries(view.out).filter(([joint]) => joint in view.off)),
    back: Object.fromEntries(Object.entries(view.back).filter(([joint]) => joint in view.off)),
    covered: [...view.covered].sort(),
    looks: Object.keys(packs[pack].hides).sort().map((item) => looks(view, item)),
  };
});
writeFileSync(process.argv[3], JSON.stringify(told));
"""


# A page's numbers are doubles, so an odd count of 1e20 is compared as one.
def _core(pack: Pack, car: Car, records: list[Raw], later_ms: int) -> dict[str, Any]:
    received = [Received(event=read_event(one["event"]), received_at=one["received_at"]) for one in records]
    moment = Moment(at=MOMENT + timedelta(milliseconds=later_ms), person="p1", device="d0")
    now = now_of(pack, received, car=car, moment=moment)
    state = now.state
    return {
        "items": dict(state.items),
        "joints": dict(state.joints),
        "energies": dict(state.energies),
        "fluids": dict(state.fluids),
        "guards": {f"{guard}|{item}": pieces for (guard, item), pieces in state.guards.items()},
        "litres": dict(state.litres_out),
        "waited": sorted(state.waited),
        "renewed": sorted(state.renewed),
        "fallen": sorted(now.folded.taken_back),
        "unknown": list(now.folded.unknown),
        "done": [[n, id] for n, id in sorted(now.done_at.items())],
        "standing": [str(one) for one in now.standing],
        "suggested": now.suggested,
        "owed": now.owed,
        "off": {joint: owed.off for joint, owed in now.counts.items()},
        "out": {joint: owed.out for joint, owed in now.counts.items()},
        "back": {joint: owed.tight for joint, owed in now.counts.items() if owed.tight is not None},
        "covered": sorted(now.covered),
        "looks": [
            [
                {"item": k.item, "minutes": k.minutes, "short": k.short, "plugs": float(k.plugs)}
                for k in looks_of(pack, now, item)
            ]
            for item in sorted(pack["hides"])
        ],
    }


def test_page_and_core_agree(tmp_path: Path) -> None:
    node = node_path()
    if node is None and os.environ.get("CI") == "true":
        pytest.fail("there is no node, so the page's reducer is not tested")
    if node is None:
        pytest.skip("THE PAGE'S REDUCER IS NOT TESTED: there is no node on this machine")
    plans = [demo_plan(), *random_plans(12)]
    packs: list[Pack] = [demo_pack(), *(json.loads(pack_bytes(plan)) for plan in plans[1:])]
    asked: list[dict[str, Any]] = []
    for seed in range(ROUNDS):
        at = 0 if seed % 3 else 1 + seed % (len(packs) - 1)
        events = history(packs[at], seed, length=20 + seed % 90)
        records = [{"event": one, "received_at": None if seed % 5 else one["at"]} for one in events]
        asked.append({"pack": at, "records": records, "later": 60_000 * (seed % 40)})
    copy_modules(tmp_path)
    (tmp_path / "run.mjs").write_text(SCRIPT, encoding="utf-8")
    given = {"packs": packs, "histories": asked, "at": int(MOMENT.timestamp() * 1000)}
    (tmp_path / "asked.json").write_text(json.dumps(given), encoding="utf-8")
    subprocess.run([node, "run.mjs", "asked.json", "told.json"], cwd=tmp_path, check=True)
    told = json.loads((tmp_path / "told.json").read_text(encoding="utf-8"))
    seats: set[str] = set()
    for seed, (one, page) in enumerate(zip(asked, told, strict=True)):
        core = _core(packs[one["pack"]], plans[one["pack"]].car, one["records"], one["later"])
        seats |= {*core["energies"].values()}
        assert json.loads(json.dumps(core)) == page, f"history {seed}"
    assert {Seat.ISOLATED, Seat.PROVEN} <= seats, "the histories reach too little"
