"""One idea: what a torque card says of the owner's wrenches is put in words once, for terminal and page."""

import math
from collections.abc import Iterator

from putback.faces.names import counted, item_name
from putback.plan.plan import Plan, TorqueLine, WrenchAgainst, WrenchLine, WrenchUse

MOST_AGAINST = 2
"""How many wrenches that cannot are told with their reasons; JSON has all of them."""


def wrench_words(line: TorqueLine) -> Iterator[str]:
    """The wrench and its setting, or why none can; then what must be known of it, and what is doubtful."""
    judged = line.wrench
    if judged is None:
        return
    if judged.best is not None:
        yield _done(line, judged.best)
        yield from judged.best.warnings
    elif not line.value_needed:
        yield none_words(judged)
    yield from (f"doubt: {doubt}" for doubt in judged.doubts)


def card_words(plan: Plan) -> Iterator[str]:
    """How many torques of the card the owner's wrenches can do, then each that none can; how many are doubtful."""
    sourced = [(line, line.wrench) for line in plan.torque_card if line.wrench and not line.value_needed]
    can = sum(judged.best is not None for _, judged in sourced)
    yield f"{can} of {counted(len(sourced), 'torque')} can be done; --full says with which wrench, at which setting"
    told: dict[str, list[str]] = {}
    for line, judged in sourced:
        if judged.best is None:
            what = f"{line.joint.sourced_torque}: {none_words(judged)}"
            told.setdefault(what, []).append(f"{line.joint.id} {item_name(plan, line.item)}")
    yield from (f"{', '.join(joints)}, {what}" for what, joints in told.items())
    doubtful = sum(bool(judged.doubts) for _, judged in sourced)
    if doubtful:
        yield f"{counted(doubtful, 'torque')} may be in another unit than written; --full says which"


def _done(line: TorqueLine, best: WrenchUse) -> str:
    torque = line.joint.sourced_torque
    if torque is None:
        return ""
    snug = "snug torque: " if torque.angles_deg else ""
    if torque.unit == best.unit:
        setting = f"{torque.value:g}" if best.setting == torque.value else three(best.setting)
        return f"{snug}{best.name} at setting {setting} {best.unit}{_within(best)}"
    wanted = f"{torque.value:g} {torque.unit}"
    return f"{snug}{best.name} at setting {three(best.setting)} {best.unit}, for {wanted}{_within(best)}"


def _within(best: WrenchUse) -> str:
    """The band of the torque at the fastener, as a share of it."""
    if best.band_nm is None:
        return ""
    low, high = best.band_nm
    return f" ± {100 * (high - low) / (high + low):.1f} %"


def none_words(judged: WrenchLine) -> str:
    """Why no wrench of the list can: what is against all of them, else the nearest ones with their reasons."""
    against = judged.none
    if not against:
        return "there is no wrench in the list"
    everywhere = [reason for reason in against[0].reasons if all(reason in one.reasons for one in against)]
    if everywhere:
        return f"none of your wrenches: {'; '.join(everywhere)}"
    told = "; ".join(_against(one) for one in against[:MOST_AGAINST])
    more = f"; {len(against) - MOST_AGAINST} more cannot either" if len(against) > MOST_AGAINST else ""
    return f"none of your wrenches: {told}{more}"


def _against(one: WrenchAgainst) -> str:
    """A wrench's reasons without their mends."""
    return f"{one.name}: {', '.join(reason.partition(': ')[0] for reason in one.reasons)}"


def three(value: float) -> str:
    """A figure with three digits that count, never in powers of ten.

    >>> three(21.428), three(140.0), three(9.0)
    ('21.4', '140', '9.00')
    """
    digits = 2 - math.floor(math.log10(value)) if value > 0 else 2
    return f"{value:.{max(0, digits)}f}"
