"""The command line as its user meets it: a real process, its output, its exit code."""

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest

from putback.adapters.car_file import demo_path

DEMO = str(demo_path())
JOB = "thermostat-and-pump"


def run(*words: str, cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
    """Run putback as a user does."""
    command = [sys.executable, "-c", "from putback.faces.cli.main import main; main()", *words]
    return subprocess.run(command, capture_output=True, text=True, encoding="utf-8", cwd=cwd, timeout=120, check=False)


@pytest.fixture(scope="module")
def plan() -> dict[str, Any]:
    result = run("plan", DEMO, "--for", JOB, "--json")
    assert result.returncode == 0, result.stderr
    found: dict[str, Any] = json.loads(result.stdout)
    return found


def test_plan_json_has_every_key_of_the_contract(plan: dict[str, Any]) -> None:
    contract = (
        "car, for, items, ways, minutes, fasteners, proved, gap, left_on, why, alternatives, energies, waits, guards, "
        "last_looks, rework, tools, parts, one_time, stow, length_traps, torque_card, quote, mass, order, operations"
    )
    assert set(contract.split(", ")) <= set(plan)
    assert set(plan["minutes"]) == {"off", "on", "total"}
    assert set(plan["alternatives"][0]) == {"ways", "minutes", "items"}
    assert {"cost", "proved", "gap"} <= set(plan["order"])
    operation = (
        "n, verb, item, joint, way, count, thread, drive, tools, zone, people, torque, stow, guard, energy, minutes, "
        "twin, note"
    )
    for one in plan["operations"]:
        assert set(operation.split(", ")) <= set(one)


def test_plan_json_torques(plan: dict[str, Any]) -> None:
    tight = {one["joint"]: one["torque"] for one in plan["operations"] if one["verb"] == "tighten"}
    assert tight["j71"] == {"value": 12.0, "unit": "N·m", "angle_deg": 90.0, "source": "made-up"}
    assert tight["jdR"] == "value needed"
    assert tight["j05"] is None


def test_plan_json_figures_of_the_demo(plan: dict[str, Any]) -> None:
    assert plan["minutes"] == {"off": 131.0, "on": 191.0, "total": 322.0}
    assert (plan["quote"]["total"], plan["quote"]["most"]) == (1435.4, 1572.4)
    assert len(plan["items"]) == 72
    assert plan["audit"] == [finding for finding in plan["audit"] if finding["kind"] == "note"]


def test_plan_json_goes_back_into_the_audit(plan: dict[str, Any], tmp_path: Path) -> None:
    file = tmp_path / "plan.json"
    file.write_text(json.dumps(plan), encoding="utf-8")
    clean = run("audit", DEMO, str(file))
    assert clean.returncode == 0
    assert "0 faults" in clean.stdout
    broken = dict(
        plan, operations=[one for one in plan["operations"] if one["joint"] != "j73" or one["verb"] == "undo"]
    )
    file.write_text(json.dumps(broken), encoding="utf-8")
    faulty = run("audit", DEMO, str(file), "--json")
    assert faulty.returncode == 1
    assert any(finding["field"] == "j73" for finding in json.loads(faulty.stdout)["findings"])


def test_audit_refuses_what_it_cannot_read(tmp_path: Path) -> None:
    file = tmp_path / "operations.json"
    file.write_text('[{"verb": "removve", "item": 3, "count": 1.5}]', encoding="utf-8")
    result = run("audit", DEMO, str(file))
    assert result.returncode == 2
    assert "did you mean 'remove'" in result.stderr
    assert "operations[1].item" in result.stderr
    assert "operations[1].count" in result.stderr
    file.write_text("{", encoding="utf-8")
    assert run("audit", DEMO, str(file)).returncode == 2
    assert run("audit", DEMO, str(tmp_path / "none.json")).returncode == 2


def test_demo_asks_nothing_and_says_what_to_try_next() -> None:
    result = run("demo")
    assert result.returncode == 0, result.stderr
    assert "72 of 78 items, 147 fasteners, 131 min off + 191 min on = 322 min · proved" in result.stdout
    assert "1,435.40" in result.stdout
    assert "What to try next" in result.stdout
    assert "\x1b" not in result.stdout


def test_unknown_ids_are_named_with_the_nearest() -> None:
    result = run("plan", DEMO, "--for", "pumpe,housin")
    assert result.returncode == 2
    assert "did you mean 'pump'" in result.stderr
    assert "did you mean 'housing'" in result.stderr


def test_impossible_says_which_joint_and_what_is_missing() -> None:
    result = run("plan", DEMO, "--for", "pump", "--without", "E10", "--json")
    assert result.returncode == 3
    assert json.loads(result.stdout)["impossible"][0]["joint"] == "j71"
    assert json.loads(result.stdout)["impossible"][0]["missing"] == ["E10"]
    assert "missing: E10" in run("plan", DEMO, "--for", "pump", "--without", "E10").stdout


def test_without_may_be_given_again() -> None:
    words = ("--without", "universal-joint", "--without", "ratcheting-ring-13")
    result = run("plan", DEMO, "--for", JOB, *words)
    assert result.returncode == 0
    assert "without universal-joint: nothing changes" in result.stdout
    assert "without ratcheting-ring-13: j53h now below instead of front; 330 min instead of 322 (+8)" in result.stdout


def test_a_faulty_car_file_is_refused_with_every_fault(tmp_path: Path) -> None:
    car = tmp_path / "bad.car.yaml"
    text = demo_path().read_text(encoding="utf-8")
    car.write_text(text.replace("zone: K", "zone: Q", 1).replace("count: 8", "count: -8", 1), encoding="utf-8")
    result = run("plan", str(car), "--for", JOB)
    assert result.returncode == 2
    assert "'Q'" in result.stderr
    assert "-8" in result.stderr
    assert run("check", str(car)).returncode == 1


def test_check_exit_codes(tmp_path: Path) -> None:
    assert run("check", DEMO).returncode == 0
    assert run("check", str(tmp_path / "none.yaml")).returncode == 2
    empty = tmp_path / "empty.yaml"
    empty.touch()
    assert run("check", str(empty)).returncode == 2


def test_new_writes_a_file_that_reads_and_never_overwrites(tmp_path: Path) -> None:
    assert run("new", cwd=tmp_path).returncode == 0
    assert run("check", "my.car.yaml", cwd=tmp_path).returncode == 0
    again = run("new", cwd=tmp_path)
    assert again.returncode == 2
    assert "is there already" in again.stderr


def test_schema_is_json() -> None:
    result = run("schema")
    assert json.loads(result.stdout)["$schema"].startswith("https://json-schema.org/")


def test_pictures_are_written(tmp_path: Path) -> None:
    svg, html = tmp_path / "job.svg", tmp_path / "job.html"
    result = run("plan", DEMO, "--for", JOB, "--svg", str(svg), "--html", str(html))
    assert result.returncode == 0, result.stderr
    assert svg.read_text(encoding="utf-8").startswith("<svg")
    assert "</html>" in html.read_text(encoding="utf-8")
    nowhere = run("plan", DEMO, "--for", JOB, "--svg", str(tmp_path / "none" / "job.svg"))
    assert nowhere.returncode == 2
    assert "cannot be written" in nowhere.stderr


def test_wrong_calls_end_with_2() -> None:
    assert run("plan", DEMO).returncode == 2
    assert run("plan", DEMO, "--for", ",").returncode == 2
    assert run("nonsense").returncode == 2
    assert run("plan", DEMO, "--for", JOB, "--rate", "-1").returncode == 2


def test_every_command_has_help_and_a_line_in_the_readme() -> None:
    from putback.faces.cli.main import COMMANDS  # noqa: PLC0415 - the list under test

    readme = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
    overview = run("--help").stdout
    for name, (_, text) in COMMANDS.items():
        assert text in overview
        assert f"putback {name}" in readme
        assert run(name, "--help").returncode == 0


def test_the_readme_shows_what_the_demo_prints() -> None:
    root = Path(__file__).parents[2]
    shown = (root / "README.md").read_text(encoding="utf-8").split("```")[1].strip().split("\n")
    printed = {line.rstrip() for line in run("demo", cwd=root).stdout.split("\n")}
    assert [line for line in shown if line != "..." and line not in printed] == []


def test_help_loads_nothing_heavy() -> None:
    code = (
        "import sys; from putback.faces.cli.main import cli\n"
        "try: cli(['--help'])\nexcept SystemExit: pass\n"
        "print([n for n in ('numpy', 'numba', 'highspy', 'yaml', 'rich', 'igraph') if n in sys.modules])"
    )
    result = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert result.stdout.strip().endswith("[]")


def test_ctrl_c_gives_the_best_so_far(tmp_path: Path) -> None:
    """A job whose order takes long to prove is stopped; the plan comes out whole, marked, with exit code 130."""
    car = tmp_path / "large.car.yaml"
    car.write_text(large_car(), encoding="utf-8")
    command = [sys.executable, "-c", "from putback.faces.cli.main import main; main()", "plan", str(car)]
    environment = dict(os.environ, PYTHONUNBUFFERED="1")
    with subprocess.Popen(
        [*command, "--for", "deep", "--json", "--seconds", "100"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=environment,
    ) as process:
        assert process.stderr is not None
        line = process.stderr.readline()
        assert "searching" in line or "best" in line
        time.sleep(3)
        process.send_signal(signal.SIGINT)
        out, told = process.communicate(timeout=60)
    assert process.returncode == 130, told
    plan = json.loads(out)
    assert plan["interrupted"]
    assert not plan["order"]["proved"]
    assert plan["order"]["gap"] > 0
    assert len(plan["items"]) == 301


def large_car() -> str:
    """Three hundred loosely ordered items in many zones with many tools: an order that is hard to prove."""
    lines = ["putback: car/1", "name: invented, for a long search", "invented: true", "zones:"]
    lines += [f"  Z{zone}: zone {zone}" for zone in range(12)]
    lines += ["items:"]
    for n in range(300):
        lines += [
            f"  i{n}:",
            f"    name: item {n}",
            f"    zone: Z{n * 7919 % 12}",
            "    action: remove",
            "    minutes: [1, 1]",
        ]
        if n > 20:
            lines += [f"    needs_off: [i{n * 104729 % (n - 10)}, i{n * 1299709 % (n - 5)}]"]
        lines += ["    joints:", f"      - {{id: j{n}, count: 2, kind: clip, drive: d{n * 6007 % 17}}}"]
    needs = ", ".join(f"i{n}" for n in range(300))
    lines += ["  deep:", "    name: deep", "    zone: Z0", "    action: unplug", "    minutes: [1, 1]"]
    return "\n".join([*lines, f"    needs_off: [{needs}]", ""])


@pytest.mark.parametrize(
    "options",
    [
        ("--rate", "nan"),
        ("--rate", "inf"),
        ("--seconds", "nan"),
        ("--lift-limit-mm", "nan"),
        ("--tool-change", str(10**20)),
        ("--svg", "car.yaml"),
        ("--html", "car.yaml"),
        ("--svg", "one", "--html", "one"),
    ],
    ids=" ".join,
)
def test_a_wrong_call_ends_with_two_and_leaves_every_file_alone(options: tuple[str, ...], tmp_path: Path) -> None:
    car = tmp_path / "car.yaml"
    car.write_bytes(demo_path().read_bytes())
    result = run("plan", "car.yaml", "--for", JOB, *options, cwd=tmp_path)
    assert (result.returncode, result.stdout) == (2, "")
    assert "Traceback" not in result.stderr
    assert [path.name for path in tmp_path.iterdir()] == ["car.yaml"]
    assert car.read_bytes() == demo_path().read_bytes()


def test_the_picture_in_the_readme_is_the_demo_as_it_is_drawn_now(tmp_path: Path) -> None:
    drawn = tmp_path / "valley.svg"
    assert run("plan", DEMO, "--for", JOB, "--svg", str(drawn), "--picture", "valley").returncode == 0
    shown = Path(__file__).parents[2] / "docs" / "valley.svg"
    assert drawn.read_text(encoding="utf-8") == shown.read_text(encoding="utf-8")


def test_a_terminal_of_ascii_alone_gets_the_likest_signs() -> None:
    """A sign that the output cannot have is no reason to print nothing."""
    done = subprocess.run(
        [sys.executable, "-c", "from putback.faces.cli.main import main; main()", "demo"],
        capture_output=True,
        env={**os.environ, "PYTHONIOENCODING": "ascii"},
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert b"322" in done.stdout
