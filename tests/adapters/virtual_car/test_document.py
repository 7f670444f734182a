"""docs/virtual-car.md says what is so: its modules, its options, its services, its example."""

import re
from pathlib import Path

from putback.adapters.virtual_car import MODULES, Happened, Switches
from putback.adapters.virtual_car.emission import PIDS
from putback.adapters.virtual_car.happened import names_of
from putback.faces.cli.codes_virtual import command

PAGE = (Path(__file__).parents[3] / "docs" / "virtual-car.md").read_text(encoding="utf-8")


def test_the_modules_are_those() -> None:
    rows = re.findall(r"^\| (\w+) \| ([0-9A-F]+/[0-9A-F]+) \|", PAGE, re.MULTILINE)
    assert rows == [(module.name, str(module.pair)) for module in MODULES.values()]


def test_every_option_is_told_of_and_no_other() -> None:
    told = set(re.findall(r"--[a-z][a-z-]+", PAGE))
    there = {option for parameter in command.params for option in parameter.opts if option.startswith("--")}
    assert told <= there | {"--virtual-car"}  # that one is of `codes read`
    assert there - told == {"--channel", "--port"}  # they are in what the command prints


def test_every_happening_and_every_fault_has_its_option() -> None:
    there = {parameter.name for parameter in command.params}
    assert {*names_of(Happened()), *names_of(Switches())} <= there


def test_the_live_values_are_those() -> None:
    (listed,) = re.findall(r"^\| 01 \| engine \| ([0-9A-F ]+),", PAGE, re.MULTILINE)
    assert [int(pid, 16) for pid in listed.split()] == sorted(PIDS)


def test_the_example_runs() -> None:
    (example,) = re.findall(r"```python\n(.*?)```", PAGE, re.DOTALL)
    exec(compile(example, "docs/virtual-car.md", "exec"), {})
