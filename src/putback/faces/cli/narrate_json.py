"""One idea: a draft as JSON, with the same words and places whether it was heard or corrected."""

from typing import Any

from putback.narrate.lines.draft import Draft
from putback.narrate.lines.said import Said


def draft_json(draft: Draft) -> dict[str, Any]:
    """The whole draft."""
    return {
        "spoken": draft.spoken.text,
        "operations": [_operation(one) for one in draft.operations],
        "questions": [
            {"kind": question.kind, "operation": question.operation, "text": question.text}
            for question in draft.questions
        ],
        "unused": [list(stretch) for stretch in draft.unused],
    }


def _operation(one: Said) -> dict[str, Any]:
    return {
        "n": one.n,
        "verb": str(one.verb),
        "object": one.object,
        "count": one.count,
        "size": one.size,
        "kind": one.kind,
        "torque": one.torque,
        "pattern": one.pattern,
        "zone": one.zone,
        "tool": one.tool,
        "tray": one.tray,
        "span": [one.start, one.end],
        "seconds": one.seconds,
        "twin": one.twin,
        "also": list(one.also),
        "condition": one.condition,
        "slackened": one.slackened,
        "doubts": list(one.doubts),
    }
