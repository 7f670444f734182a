"""One idea: the owner's tool list is read anew whenever it is asked for, so that a mended date counts at once."""

from dataclasses import dataclass
from datetime import date

from putback.app import own_tools, with_tools
from putback.bay.desk import Bay
from putback.core.fasten.lever import Adapter
from putback.core.fasten.wrench import Wrench, last_day, tolerance_percent
from putback.core.finding import Finding
from putback.plan.plan import Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class WrenchState:
    """A wrench of the list on a day: until when its calibration holds (None: no date known), and whether it does."""

    wrench: Wrench
    tolerance_percent: float | None
    until: date | None
    in_date: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Toolbox:
    """The owner's tool list as it stands. `there`: there is such a file; `findings`: why it cannot be read."""

    there: bool
    file: str
    wrenches: tuple[WrenchState, ...] = ()
    adapters: tuple[Adapter, ...] = ()
    findings: tuple[Finding, ...] = ()


def toolbox(bay: Bay) -> Toolbox:
    """The tool list of a workshop, today; the first that runs out first, those without a date before all."""
    name = "tools.yaml" if bay.tools is None else bay.tools.name
    if bay.tools is None or not bay.tools.exists():
        return Toolbox(there=False, file=name)
    read = own_tools(bay.tools)
    if read.tools is None:
        return Toolbox(there=True, file=name, findings=read.findings)
    today = bay.clock().date()
    states = [_state(one, today) for one in read.tools.wrenches.values()]
    return Toolbox(
        there=True,
        file=name,
        wrenches=tuple(sorted(states, key=lambda one: one.until or date.min)),
        adapters=tuple(read.tools.adapters.values()),
    )


def _state(wrench: Wrench, today: date) -> WrenchState:
    until = last_day(wrench)
    begun = wrench.calibrated_on is None or wrench.calibrated_on <= today
    return WrenchState(
        wrench=wrench,
        tolerance_percent=tolerance_percent(wrench),
        until=until,
        in_date=until is not None and begun and today <= until,
    )


def with_toolbox(bay: Bay, plan: Plan) -> tuple[Plan, bool]:
    """The plan with the owner's wrenches on its torque card, today; and whether there is a list that has faults."""
    if bay.tools is None or not bay.tools.exists():
        return plan, False
    own = own_tools(bay.tools)
    return with_tools(plan, own, bay.clock().date()), own.tools is None
