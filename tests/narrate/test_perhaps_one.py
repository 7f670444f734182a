"""Two names that may be of one part are asked about, never taken for one. The cases are made by hand."""

import json
from pathlib import Path

from click.testing import CliRunner

from putback.core.operations import Verb
from putback.core.procedure import Line, Procedure
from putback.faces.cli.merge import command
from putback.narrate.car.perhaps_one import perhaps_one


def job(name: str, *things: str, aliases: dict[str, str] | None = None) -> Procedure:
    """One recording in which these came off; what ends in bolts was undone."""
    lines = (
        Line(n=n, verb=Verb.UNDO if thing.endswith("bolts") else Verb.REMOVE, object=thing)
        for n, thing in enumerate(things, start=1)
    )
    return Procedure(car="Invented 1", file=name, high_voltage=False, lines=tuple(lines), aliases=aliases or {})


def pairs(*jobs: Procedure) -> list[tuple[str, str]]:
    """The names that are asked about."""
    return [(one.short, one.long) for one in perhaps_one(jobs)]


def test_a_shorter_name_of_another_job_is_asked_about_with_its_bolts() -> None:
    jobs = job("a", "pump bolts", "pump"), job("b", "heater pump bolts", "electric heater pump")
    assert pairs(*jobs) == [("pump bolts", "heater pump bolts"), ("pump", "electric heater pump")]
    assert perhaps_one(jobs)[1].finding.mend.startswith("if it is, write pump: electric heater pump under aliases")


def test_what_one_job_tells_apart_is_two() -> None:
    assert pairs(job("a", "pump"), job("b", "pump", "heater pump")) == []


def test_another_kind_of_thing_or_bolts_of_nothing_are_not_asked_about() -> None:
    assert pairs(job("a", "pump", "bolts"), job("b", "pump cover", "fan bolts")) == []


def test_an_alias_answers_it() -> None:
    aliases = {"pump": "heater pump"}
    assert pairs(job("a", "pump", aliases=aliases), job("b", "heater pump", aliases=aliases)) == []


def test_merge_tells_of_it_in_words_and_as_json(tmp_path: Path) -> None:
    files = [tmp_path / "a.procedure.yaml", tmp_path / "b.procedure.yaml"]
    for file, thing in zip(files, ("pump", "heater pump"), strict=True):
        file.write_text(
            "putback: procedure/1\ncar: Invented 1\nhigh_voltage: false\noperations:\n"
            f"  - {{n: 1, verb: remove, object: {thing}}}\n  - {{n: 2, verb: fit, object: {thing}, twin: 1}}\n"
        )
    told = CliRunner().invoke(command, [*map(str, files), "--to", str(tmp_path / "car.yaml")])
    assert "'pump' may be 'heater pump'" in told.output
    as_json = CliRunner().invoke(command, [*map(str, files), "--json"])
    (one,) = json.loads(as_json.stdout)["perhaps_one"]
    assert (one["short"], one["long"], one["short_in"]) == ("pump", "heater pump", [str(files[0])])
