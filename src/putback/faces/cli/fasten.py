"""`putback fasten`: how tight, with what, in which order; every answer with its band, its source and its warnings.

Each tool of `putback.tight` is a command: its first fields are given as they stand, the others as options.
"""

import datetime
import importlib
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

import click

from putback.core.fasten.answer import Answer
from putback.core.fasten.calc import FORMULAS, LOOKUP, TABLES, Wrong, calc
from putback.core.fasten.tool import Ask, Field, Told, Tool
from putback.faces.cli.show import DONE, IMPOSSIBLE, UNREADABLE, print_json
from putback.faces.cli.typed_words import minus_as_text, options_joined, shared_out
from putback.faces.draw.tightening import tightening_svg
from putback.faces.figures import band_words, figure
from putback.tight import TOOLS

LEFTOVER = "leftover"
"""Asked of a car or a job, so it is a command of its own; loaded when it is called."""

as_json = click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")


class Tools(click.Group):
    """The tools as commands, each made from its own fields."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002
        """The tools, in the order in which one meets them; then the formulas behind them."""
        return [*TOOLS, LEFTOVER, "calc"]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002
        """One tool as a command."""
        if cmd_name == "calc":
            return calculate
        if cmd_name == LEFTOVER:
            command: click.Command = importlib.import_module("putback.faces.cli.leftover").command
            return command
        return _command(TOOLS[cmd_name]) if cmd_name in TOOLS else None


@click.group("fasten", cls=Tools)
def command() -> None:
    """How tight, with what, in which order. No figure here is a specification: the maker's publication wins."""


class _ToolCommand(click.Command):
    """A command whose words may be negative numbers, and figures with their unit behind a blank."""

    def __init__(self, tool: Tool, **more: Any) -> None:
        super().__init__(tool.name, **more)
        self._fields = tool.fields

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Read the words; `-40,0` is a place and no option, `--torque 24 N·m` is one torque."""
        return super().parse_args(ctx, options_joined(self._fields, minus_as_text(args)))


def _command(tool: Tool) -> click.Command:
    """A tool as a command: what it cannot do without stands first, without a name."""
    first = [one for one in tool.fields if one.needed]
    metavar = " ".join(one.name.upper() for one in first)
    params: list[click.Parameter] = [click.Argument(["words"], nargs=-1, metavar=metavar)]
    params += [option(one) for one in tool.fields if not one.needed]
    params.append(click.Option(["--json", "as_json"], is_flag=True, help="Print the answer as JSON."))
    if tool.draws:
        params.append(click.Option(["--svg"], type=click.Path(path_type=Path), help="Write the picture to a file."))
    like = " ".join(one.like for one in first)
    said = "\n".join(f"{one.name.upper()}: {_said(one)}" for one in first)
    return _ToolCommand(
        tool,
        params=params,
        callback=_answer(tool),
        help=f"{tool.what}\n\n\b\n{said}\n\nSuch as: putback fasten {tool.name} {like}",
        short_help=tool.what.partition(".")[0] + ".",
    )


def _said(one: Field) -> str:
    """What a field is, in which unit, and what may stand there."""
    words = one.words + (f" [{one.unit}]" if one.unit else "")
    return words + (f": {', '.join(one.of)}" if one.ask is Ask.CHOICE else f", such as {one.like}" if one.like else "")


def option(one: Field) -> click.Option:
    """A field as an option."""
    usual = f" (else {one.usual})" if one.usual else ""
    return click.Option(
        [f"--{one.name}", one.name.replace("-", "_")],
        metavar=one.ask.value.upper(),
        help=_said(one) + usual,
        multiple=True,
        callback=_once,
    )


def _once(_: click.Context, param: click.Parameter, typed: tuple[str, ...]) -> str | None:
    """The one text of an option; twice is a slip, and the second is not taken for the first."""
    if len(typed) > 1:
        raise click.UsageError(f"--{param.opts[0].lstrip('-')} is given twice; give it once")
    return typed[0] if typed else None


def _answer(tool: Tool) -> Callable[..., int]:
    first = [one for one in tool.fields if one.needed]

    def run(*, words: tuple[str, ...], as_json: bool, svg: Path | None = None, **given: str | None) -> int:
        shared = shared_out(first, words)
        if shared.left:
            names = ", ".join(one.name for one in first)
            mend = f"give {names}, in this order, and put quotes around words that belong together"
            return _refuse([f"{' '.join(shared.left)!r} is one too many; {mend}"], as_json)
        return tell(tool, {**given, **shared.given}, as_json=as_json, svg=svg)

    return run


def today() -> datetime.date:
    """The day on this machine."""
    return datetime.datetime.now().astimezone().date()  # noqa: TID251 - faces read the clock


def tell(tool: Tool, given: Mapping[str, str | None], *, as_json: bool, svg: Path | None = None) -> int:
    """Ask a tool, print what it tells, and give the exit code."""
    typed = {name.replace("_", "-"): text for name, text in given.items() if text is not None}
    try:
        told = tool.tell(tool.on(today(), _with_files(tool, typed)))
        if svg is not None and told.layout is not None:
            _write(svg, tightening_svg(told.layout))
    except Wrong as wrong:
        return _refuse(wrong.faults, as_json)
    if as_json:
        print_json(answer_json(told.answer) | {"says": told.says, "lines": [_line_json(one) for one in told.lines]})
    else:
        for text in told_text(told, authority=tool.authority):
            click.echo(text)
    return IMPOSSIBLE if told.answer.refused else DONE


def _write(path: Path, text: str) -> None:
    try:
        path.write_text(text, encoding="utf-8")
    except OSError as wrong:
        raise Wrong([f"--svg: {path} cannot be written: {wrong.strerror}; name another file"]) from None


def _with_files(tool: Tool, typed: Mapping[str, str]) -> dict[str, str]:
    """The fields, with the text of files that they name."""
    given = dict(typed)
    for one in tool.fields:
        if one.ask is Ask.FILE and one.name in given:
            path = Path(given[one.name])
            try:
                given[one.name] = f"{path.name}\n{path.read_text(encoding='utf-8')}"
            except (OSError, UnicodeDecodeError) as wrong:
                why = wrong.strerror if isinstance(wrong, OSError) else "is not UTF-8 text"
                raise Wrong([f"{one.name}: {path} cannot be read: {why}; check the name"]) from None
    return given


def _refuse(faults: Sequence[str], as_json: bool) -> int:
    if as_json:
        print_json({"faults": list(faults)})
    for fault in faults:
        click.echo(fault, err=True)
    return UNREADABLE


@click.command("calc", short_help="Answer one formula by its short name.")
@click.argument("name", required=False, metavar="FN")
@click.argument("given", nargs=-1, metavar="[NAME=VALUE]...")
@click.option("--list", "listed", is_flag=True, help="List every formula with its inputs, unit and source.")
@as_json
def calculate(name: str | None, given: tuple[str, ...], listed: bool, as_json: bool) -> int:
    """Answer one formula by its short name, such as: putback fasten calc crowfoot T=80 L=40 E=5 angle=0."""
    if listed or name is None:
        return _list(as_json)
    pairs = [one.partition("=") for one in given]
    faults = [f"{''.join(pair)!r} is no NAME=VALUE; write it so, such as d=8" for pair in pairs if not pair[1]]
    names = [pair[0] for pair in pairs if pair[1]]
    faults += [f"{one} is given twice; give it once" for one in dict.fromkeys(names) if names.count(one) > 1]
    try:
        answer = calc(name, {key: value for key, equals, value in pairs if equals})
    except Wrong as wrong:
        return _refuse([*faults, *wrong.faults], as_json)
    if faults:
        return _refuse(faults, as_json)
    if as_json:
        print_json(answer_json(answer))
    else:
        for text in answer_text(answer):
            click.echo(text)
    return IMPOSSIBLE if answer.refused else DONE


def _list(as_json: bool) -> int:
    """Every formula, and what the tables can be asked by."""
    keys = sorted({key for row in TABLES for key in row.keys})
    if as_json:
        made: list[dict[str, Any]] = [
            {
                "fn": one.name,
                "what": one.what,
                "inputs": [{"name": i.name, "what": i.what, "unit": i.unit, "kind": i.kind.value} for i in one.inputs],
                "unit": one.unit,
                "valid": one.valid,
                "source": one.source,
            }
            for one in FORMULAS.values()
        ]
        print_json([*made, {"fn": LOOKUP, "what": "a figure of a table", "inputs": [{"name": key} for key in keys]}])
        return DONE
    for one in FORMULAS.values():
        click.echo(f"{one.name:<15} {one.what} [{one.unit}]: {' '.join(i.name for i in one.inputs)}")
    click.echo(f"{LOOKUP:<15} a figure of a table, by: {' '.join(keys)}; about=WORDS narrows it")
    return DONE


def answer_json(answer: Answer) -> dict[str, Any]:
    """An answer as JSON: value, range or refused; unit, band, source, warnings."""
    if answer.refused is not None:
        said: dict[str, Any] = {"refused": answer.refused}
    elif answer.range is not None:
        said = {"range": list(answer.range)}
    else:
        said = {"value": answer.value}
    band = None if answer.band is None else list(answer.band)
    return said | {"unit": answer.unit, "band": band, "source": answer.source, "warnings": list(answer.warnings)}


def _line_json(line: Any) -> dict[str, Any]:
    band = None if line.band is None else list(line.band)
    return {"name": line.name, "value": line.value, "unit": line.unit, "band": band, "source": line.source}


def answer_text(answer: Answer) -> Iterator[str]:
    """An answer for people."""
    if answer.refused is not None:
        yield answer.refused
    elif answer.range is not None:
        yield f"{figure(answer.range[0])} to {figure(answer.range[1])} {answer.unit}".removesuffix(" -")
    else:
        yield f"{figure(answer.value)} {answer.unit}".removesuffix(" -")
    if answer.band is not None:
        yield f"  band    {band_words(answer.band, answer.unit)}"
    yield f"  source  {answer.source}"
    for warning in answer.warnings:
        yield f"  note    {warning}"


def told_text(told: Told, *, authority: str) -> Iterator[str]:
    """What a tool tells, for people: the answer first, then what stands behind it, then what to beware of."""
    yield told.says
    width = max((len(line.name) for line in told.lines), default=0)
    for line in told.lines:
        band = f"  ({band_words(line.band, line.unit)})" if line.band else ""
        yield f"  {line.name:<{width}}  {figure(line.value)} {line.unit}".rstrip() + band
    sources = dict.fromkeys(
        one for one in (*(line.source for line in told.lines), told.answer.source) if one not in ("", "-")
    )
    yield from (f"  source: {one}" for one in sources)
    yield from (f"! {one}" for one in told.answer.warnings)
    if authority:
        yield authority
