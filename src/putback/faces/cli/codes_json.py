"""One idea: what reads say together, as JSON: the keys of the contract, and some more beside them."""

from typing import Any

from putback.bay.code_compare import Held
from putback.core.codes.causes.cause import Diagnosis
from putback.core.codes.lists.listing import Readiness
from putback.core.codes.verdicts.compare import Comparison
from putback.core.codes.verdicts.statement import NotRead


def held_json(held: Held) -> dict[str, Any]:
    """All that `compare` answers, without the remarks on its lists."""
    answer = comparison_json(held.comparison)
    answer["causes"] = causes_json(held.diagnosis)
    answer["readiness"]["statement"] = held.readiness
    return answer | {
        "not_read": not_read_json(held.unread),
        "too_many_to_explain": held.too_many,
        "open": list(held.open_points),
        "headline": held.headline,
    }


def comparison_json(comparison: Comparison) -> dict[str, Any]:
    """The verdicts, and what was not heard or tested."""
    return {
        "verdicts": [
            {
                "module": one.module,
                "code": one.code,
                "verdict": str(one.verdict),
                "why": one.why,
                "before": one.before,
                "after": one.after,
                "text": one.text,
                "first_seen": one.first_seen,
            }
            for one in comparison.judged
        ],
        "readiness": {
            "before": readiness_json(comparison.readiness_before),
            "after": readiness_json(comparison.readiness_after),
        },
        "unknown_modules": list(comparison.unknown_modules),
        "untested": [{"module": module, "code": code} for module, code in comparison.untested],
        "erased": list(comparison.erased),
        "permanent_read": comparison.permanent_read,
    }


def readiness_json(readiness: Readiness | None) -> dict[str, int] | None:
    """The self-tests of one read; null where they were not read."""
    if readiness is None:
        return None
    return {
        "supported": readiness.supported,
        "complete": readiness.complete,
        "not_complete": readiness.not_complete,
    }


def causes_json(diagnosis: Diagnosis | None) -> list[dict[str, Any]]:
    """What explains the new codes, by rank; the one without items is "other cause"."""
    if diagnosis is None:
        return []
    return [
        {
            "items": list(one.items),
            "circuits": list(one.circuits),
            "rank": one.rank,
            "rework_minutes": one.rework_minutes,
            "chance": round(one.chance, 6),
            "other_cause_of": [{"module": module, "code": code} for module, code in one.other_codes],
            "hint": one.hint,
        }
        for one in diagnosis.explanations
    ]


def suspects_json(diagnosis: Diagnosis | None) -> dict[str, Any]:
    """Each suspect by itself, what to look at next, and the weights behind it all."""
    if diagnosis is None:
        return {"suspects": [], "checks": [], "other_cause_chance": None, "weights": {}}
    return {
        "suspects": [
            {
                "item": one.item,
                "circuits": list(one.circuits),
                "chance": round(one.chance, 6),
                "rework_minutes": one.rework_minutes,
                "codes": [{"module": module, "code": code} for module, code in one.codes],
                "cleared_by": [{"module": module, "code": code} for module, code in one.cleared_by],
                "hint": one.hint,
            }
            for one in diagnosis.suspects
        ],
        "checks": [
            {
                "item": one.item,
                "bits": round(one.bits, 6),
                "minutes": one.minutes,
                "bits_per_minute": round(one.bits_per_minute, 6),
            }
            for one in diagnosis.checks
        ],
        "other_cause_chance": round(diagnosis.other_chance, 6),
        "weights": dict(diagnosis.weights.listed()),
    }


def not_read_json(unread: tuple[NotRead, ...]) -> list[dict[str, Any]]:
    """Modules that the work disturbed and no read has heard."""
    return [{"module": one.module, "items": list(one.items)} for one in unread]
