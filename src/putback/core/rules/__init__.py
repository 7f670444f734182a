"""The audit: one function for each rule, in one list.

A rule reads a whole sequence of operations and returns what it sees; it changes nothing and refuses nothing. To add
one, write the function and name it in `RULES`; a test fails until it has a case that fires and one that stays silent.
"""

from collections.abc import Sequence

from putback.core.car import Car
from putback.core.finding import Finding
from putback.core.operations import Operation
from putback.core.rules.audit import Audit, Rule
from putback.core.rules.guards import (
    guard_count_differs,
    guard_covered_in,
    hung_without_support,
    port_open_not_guarded,
    standing_guard_missing,
    support_after_what_it_holds,
    support_covered_in,
)
from putback.core.rules.reach import (
    energy_not_made_safe,
    isolated_in_name_only,
    isolation_not_restored,
    operated_too_early,
    proof_without_wait,
    reached_while_blocked,
    restored_while_still_needed,
    way_not_named,
    work_before_made_safe,
)
from putback.core.rules.rest import (
    code_read_missing,
    fluid_out_is_not_in,
    last_look_missing,
    length_trap_in_one_place,
    opened_before_drained,
    relearn_missing,
)
from putback.core.rules.tight import (
    angle_joint_tightened_twice,
    joint_not_tightened,
    off_while_held,
    one_time_part_back_in,
    started_before_fitted,
    tightened_before_all_started,
    torque_not_the_sources,
    torque_without_source,
)
from putback.core.rules.twins import (
    count_differs,
    does_not_fit,
    no_twin,
    target_not_renewed,
    unknown_thing,
)

RULES: tuple[Rule, ...] = (
    unknown_thing,
    no_twin,
    does_not_fit,
    count_differs,
    target_not_renewed,
    one_time_part_back_in,
    joint_not_tightened,
    torque_not_the_sources,
    torque_without_source,
    tightened_before_all_started,
    started_before_fitted,
    off_while_held,
    angle_joint_tightened_twice,
    guard_covered_in,
    guard_count_differs,
    port_open_not_guarded,
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
    isolation_not_restored,
    restored_while_still_needed,
    fluid_out_is_not_in,
    opened_before_drained,
    length_trap_in_one_place,
    code_read_missing,
    relearn_missing,
    last_look_missing,
)


def audit(car: Car, operations: Sequence[Operation], *, targets: Sequence[str] = ()) -> tuple[Finding, ...]:
    """Everything that any rule sees in a sequence of operations, in the order of the operations.

    Args:
        car: the car.
        operations: numbered from 1.
        targets: what was to be renewed, where that is known.
    """
    read = Audit(car, tuple(operations), tuple(targets))
    found = [finding for rule in RULES for finding in rule(read)]
    return tuple(sorted(found, key=lambda finding: finding.where.line or len(read.operations) + 1))


__all__ = ["RULES", "Audit", "Rule", "audit"]
