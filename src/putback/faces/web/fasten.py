"""One idea: a tool is a page: its fields, and the answer with its band, source, warnings and picture."""

from typing import Any

from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from putback.bay import Closed
from putback.core.fasten.calc import Wrong
from putback.core.fasten.tool import Told, Tool
from putback.faces.draw.tightening import tightening_svg
from putback.faces.figures import band_words, figure
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
    given = {name: text for name, text in request.query_params.items() if text.strip()}
    if sum(map(len, given.values())) > LONGEST:
        return refuse(request.scope, 413, f"holds more than {LONGEST} letters", "ask for less at once")
    told, faults = _told(tool, given) if given else (None, ())
    picture = Markup(tightening_svg(told.layout)) if told and told.layout else None
    return page(
        "tool",
        status=422 if faults else 200,
        styles=picture is not None,
        tool=tool,
        said=given,
        told=told,
        faults=faults,
        picture=picture,
        sources=_sources(told) if told else (),
        figure=figure,
        band_words=band_words,
        **says,
    )


def _told(tool: Tool, given: dict[str, str]) -> tuple[Told | None, tuple[str, ...]]:
    try:
        return tool.tell(given), ()
    except Wrong as wrong:
        return None, wrong.faults


def _sources(told: Told) -> tuple[str, ...]:
    named = (*(line.source for line in told.lines), told.answer.source)
    return tuple(dict.fromkeys(one for one in named if one not in ("", "-")))


ROUTES = (
    Route("/fasten", tools_page),
    Route("/fasten/{tool}", tool_page),
    Route("/jobs/{job}/leftover", leftover_page),
)
