"""The audit: one function for each rule, in one list.

A rule reads a whole sequence of operations and returns what it sees; it changes nothing and refuses nothing. To add
one, write the function and name it in `RULES`; a test fails until it has a case that fires and one that stays silent.
"""

from collections.abc import Sequence
from dataclasses import replace

from putback.core.car import Car
from putback.core.finding import Finding
from putback.core.operations import Operation
from putback.core.rules.audit import Audit, Rule
from putback.core.rules.energies import (
    energy_not_made_safe,
    isolated_in_name_only,
    isolation_not_restored,
    operated_too_early,
    proof_without_source,
    proof_without_wait,
    restored_while_still_needed,
    work_before_made_safe,
)
from putback.core.rules.guards import (
    guard_count_differs,
    guard_covered_in,
    guard_in_too_early,
    hung_without_support,
    port_open_not_guarded,
    standing_guard_missing,
    support_after_what_it_holds,
    support_covered_in,
)
from putback.core.rules.reach import reached_while_blocked, way_not_named
from putback.core.rules.renewals import (
    angle_joint_tightened_twice,
    one_time_part_back_in,
    renewed_while_in_place,
    target_not_renewed,
)
from putback.core.rules.rest import (
    code_read_missing,
    driven_too_early,
    filled_while_open,
    fluid_out_is_not_in,
    last_look_missing,
    let_out_unsaid,
    opened_before_drained,
    relearn_missing,
)
from putback.core.rules.tight import (
    covered_while_loose,
    joint_not_tightened,
    length_trap_in_one_place,
    off_while_held,
    other_fastener,
    started_before_fitted,
    tightened_before_all_started,
    torque_not_the_sources,
    torque_without_source,
)
from putback.core.rules.twins import (
    count_differs,
    does_not_fit,
    handled_otherwise,
    no_twin,
    unknown_thing,
)

RULES: tuple[Rule, ...] = (
    unknown_thing,
    no_twin,
    does_not_fit,
    handled_otherwise,
    count_differs,
    other_fastener,
    length_trap_in_one_place,
    target_not_renewed,
    renewed_while_in_place,
    one_time_part_back_in,
    angle_joint_tightened_twice,
    joint_not_tightened,
    torque_not_the_sources,
    torque_without_source,
    tightened_before_all_started,
    covered_while_loose,
    started_before_fitted,
    off_while_held,
    port_open_not_guarded,
    guard_in_too_early,
    guard_covered_in,
    guard_count_differs,
    standing_guard_missing,
    support_after_what_it_holds,
    hung_without_support,
    support_covered_in,
    reached_while_blocked,
    way_not_named,
    energy_not_made_safe,
    work_before_made_safe,
    operated_too_early,
    isolated_in_name_only,
    proof_without_wait,
    proof_without_source,
    isolation_not_restored,
    restored_while_still_needed,
    opened_before_drained,
    let_out_unsaid,
    filled_while_open,
    fluid_out_is_not_in,
    code_read_missing,
    relearn_missing,
    driven_too_early,
    last_look_missing,
)


def audit(car: Car, operations: Sequence[Operation], *, targets: Sequence[str] = ()) -> tuple[Finding, ...]:
    """Everything that any rule sees in a sequence of operations, in the order of the operations.

    Args:
        car: the car.
        operations: in the order in which they are done. Findings number them from 1 by their place, whatever number
            they carry.
        targets: what was to be renewed, where that is known.
    """
    placed = (op if op.n == place else replace(op, n=place) for place, op in enumerate(operations, start=1))
    read = Audit(car, tuple(placed), tuple(targets))
    found = [finding for rule in RULES for finding in rule(read)]
    return tuple(sorted(found, key=lambda finding: finding.where.line or len(read.operations) + 1))


__all__ = ["RULES", "Audit", "Rule", "audit"]
