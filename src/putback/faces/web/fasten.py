"""One idea: a tool is a page: its fields, and the answer with its band, source, warnings and picture."""

import re
from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import Any

from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from putback.bay import Closed
from putback.core.fasten.calc import Wrong
from putback.core.fasten.tool import Ask, Field, Told, Tool
from putback.faces.draw.band import band_svg, bar_of
from putback.faces.draw.tightening import tightening_svg
from putback.faces.figures import band_words, figure
from putback.faces.web.form import read_form
from putback.faces.web.guard import refuse
from putback.faces.web.setting import bay_of, common, page, view_of
from putback.tight import TOOLS
from putback.tight.leftover import leftover_tool

LONGEST = 8000
"""All fields of one question together, [letters]."""


def tools_page(_: Request) -> Response:
    """What can be asked."""
    return page("fasten", tools=tuple(TOOLS.values()))


def tool_page(request: Request) -> Response:
    """One tool, and its answer where its fields were sent."""
    tool = TOOLS.get(request.path_params["tool"])
    if tool is None:
        return refuse(request.scope, 404, "names no tool that is here", "begin at /fasten")
    return _shown(request, tool, action=f"/fasten/{tool.name}")


def leftover_page(request: Request) -> Response:
    """Which joint of a job a fastener is from."""
    view = view_of(request)
    if isinstance(view, Response):
        return view
    plan = bay_of(request).plan(view)
    if isinstance(plan, Closed):
        return refuse(request.scope, 404, f"cannot be answered: {plan.what}", plan.mend)
    planned = {op.joint for op in plan.operations if op.joint}
    tool = leftover_tool(plan.car, operations=view.now.folded.operations, planned=planned)
    return _shown(request, tool, action=f"/jobs/{view.job}/leftover", **common(view))


def _shown(request: Request, tool: Tool, **says: Any) -> Response:
    given = _typed(request)
    if sum(map(len, given.values())) > LONGEST:
        return refuse(request.scope, 413, f"holds more than {LONGEST} letters", "ask for less at once")
    bay = bay_of(request)
    own = bay.tools if bay.tools is not None and bay.tools.is_file() else None
    told, faults = _told(tool, given, bay.clock().date(), own) if given else (None, ())
    pictures = _pictures(told) if told else []
    return page(
        "tool",
        status=422 if faults else 200,
        styles=bool(pictures),
        tool=tool,
        by="post" if _has_file(tool) else "get",
        said=given,
        told=told,
        faults=tuple((fault, _field_of(tool, fault)) for fault in faults),
        pictures=pictures,
        sources=_sources(told) if told else (),
        figure=figure,
        band_words=band_words,
        own=own.name if own else "",
        **says,
    )


def _typed(request: Request) -> dict[str, str]:
    """The fields that were filled in, from the address or from the body."""
    if request.method == "POST":
        typed: Mapping[str, str] = read_form(request.state.body).said()
    else:
        typed = request.query_params
    return {name: text.replace("\r\n", "\n") for name, text in typed.items() if text.strip()}


def _has_file(tool: Tool) -> bool:
    return any(one.ask is Ask.FILE for one in tool.fields)


def _pictures(told: Told) -> list[Markup]:
    """The band, and the order where there is one."""
    bar = bar_of(told)
    drawn = [band_svg(bar)] if bar else []
    return [Markup(one) for one in drawn + ([tightening_svg(told.layout)] if told.layout else [])]


def _told(tool: Tool, given: dict[str, str], day: date, own: Path | None) -> tuple[Told | None, Sequence[str]]:
    """What a tool tells; a list that was not pasted is the workshop's own, where it has one."""
    files = {
        one.name: f"{one.name}\n{given[one.name]}" for one in tool.fields if one.ask is Ask.FILE and one.name in given
    }
    for one in tool.fields:
        if one.ask is Ask.FILE and one.name not in given and own is not None:
            files[one.name] = f"{own.name}\n{own.read_text(encoding='utf-8', errors='replace')}"
    try:
        return tool.tell(tool.on(day, {**given, **files})), ()
    except Wrong as wrong:
        return None, wrong.faults


def _field_of(tool: Tool, fault: str) -> Field | None:
    """The field that a fault begins with, so that the page can lead to it by the words beside it."""
    return next((one for one in tool.fields if re.match(rf"{one.name}(=|:| is missing)", fault)), None)


def _sources(told: Told) -> tuple[str, ...]:
    named = (*(line.source for line in told.lines), told.answer.source)
    return tuple(dict.fromkeys(one for one in named if one not in ("", "-")))


ROUTES = (
    Route("/fasten", tools_page),
    Route("/fasten/{tool}", tool_page),
    Route("/fasten/{tool}", tool_page, methods=["POST"]),
    Route("/jobs/{job}/leftover", leftover_page),
)
