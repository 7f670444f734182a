"""One idea: the owner's tool list is a page: what each wrench covers, and until when its calibration holds."""

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from putback.bay.toolbox import Toolbox, WrenchState, toolbox
from putback.faces.page.table import Table, columns, figure
from putback.faces.web.setting import bay_of, page


def tools_page(request: Request) -> Response:
    """The tool list today, or why there is none."""
    found = toolbox(bay_of(request))
    tables = [table for table in (_wrenches(found), _adapters(found)) if table.rows]
    return page("tools", found=found, tables=tables)


def _wrenches(found: Toolbox) -> Table:
    rows = tuple(_row(one) for one in found.wrenches)
    out = sum(not one.in_date for one in found.wrenches)
    return Table(
        id="wrenches",
        title="Torque wrenches",
        columns=columns("wrench", "~kind", "#from", "#to", "~unit", "#tolerance", "~calibrated", "~until", "!"),
        rows=rows,
        sum=f"{out} × calibration not in date" if out else "",
    )


def _row(one: WrenchState) -> tuple[str, ...]:
    wrench = one.wrench
    undated = "no date: write it in the list" if one.until is None else "not in date: have it calibrated"
    return (
        wrench.name,
        wrench.kind.value,
        f"{wrench.least_setting:g}",
        f"{wrench.top:g}",
        wrench.unit,
        figure(one.tolerance_percent, "%", "not known"),
        "" if wrench.calibrated_on is None else wrench.calibrated_on.isoformat(),
        "" if one.until is None else one.until.isoformat(),
        "" if one.in_date else undated,
    )


def _adapters(found: Toolbox) -> Table:
    rows = tuple(
        (one.name, figure(one.length_mm, "mm", "not known"), "flexible: no setting holds" if one.flexible else "")
        for one in found.adapters
    )
    return Table(id="adapters", title="Adapters", columns=columns("adapter", "#length", "!"), rows=rows)


ROUTES = (Route("/tools", tools_page),)
