"""One idea: what no single value shows is seen by a check: a function that looks at the whole car.

A check is given the car as far as it could be read and the desk, looks lines up at the desk and tells it what it
sees. Ids that do not exist are told by `links` alone; every other check passes over them.
"""

from collections.abc import Callable
from typing import Final

from putback.adapters.car_file.checks import energies, guards, links, loops, needed, renewed, small
from putback.adapters.car_file.desk import Desk
from putback.core.car import Car

Check = Callable[[Car, Desk], None]

CHECKS: Final[tuple[Check, ...]] = (
    links.unknown_ids,
    loops.needs_off_loops,
    loops.ways_through_their_own_item,
    loops.joints_never_reached,
    energies.order_loops,
    energies.restore_loops,
    energies.behind_themselves,
    energies.clocks_never_started,
    needed.torques,
    needed.minutes,
    needed.energies,
    needed.fluids,
    needed.swing_limits,
    guards.open_ports,
    guards.ends_of_the_job,
    renewed.parts_never_off,
    renewed.loops_without_drain,
    small.renewals_without_cause,
    small.layouts,
    small.fasteners_without_name,
    small.service_names,
    small.code_spelling,
    small.swing_limits_of_others,
)
