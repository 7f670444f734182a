"""One idea: a narration that was taken, and each step of its review, are events; text and draft are files.

The draft is kept as it was when the narration was taken, so that steps name the same lines for ever.
"""

from collections.abc import Mapping
from enum import StrEnum
from types import MappingProxyType

from putback.core.record.shapes import COUNT, COUNTS, SHA256, TEXT, TEXTS, EventKind, one_of

NARRATION_TAKEN = "narration taken"
REVIEW_STEP = "review step"
PROCEDURE_WRITTEN = "procedure written"


class Act(StrEnum):
    """All that a step of a review can do; a newer program adds acts and changes none."""

    ACCEPT = "accept"
    DELETE = "delete"
    FLIP = "flip"
    SET = "set"
    MERGE = "merge"
    SPLIT = "split"
    TWIN = "twin"
    RENAME = "rename"
    TORQUE = "torque"
    FIRST = "first"
    ADD = "add"
    DISMISS = "dismiss"
    ANSWER = "answer"
    HIGH_VOLTAGE = "high voltage"
    UNDO = "undo"


REVIEWS: Mapping[str, EventKind] = MappingProxyType(
    {
        NARRATION_TAKEN: EventKind(
            says="a narration was taken; its text and what was heard in it are files of their own",
            must={"name": TEXT, "car": TEXT, "text_sha256": SHA256, "draft_sha256": SHA256},
            may={"note": TEXT},
        ),
        REVIEW_STEP: EventKind(
            says="a person looked at lines of the draft and said something of them",
            must={"act": one_of(*map(str, Act))},
            may={
                "lines": COUNTS,
                "twins": COUNTS,
                "others": COUNTS,
                "span": COUNTS,
                "spans": COUNTS,
                "other": COUNT,
                "into": TEXTS,
                "field": TEXT,
                "value": TEXT,
                "name": TEXT,
                "source": TEXT,
                "kind": TEXT,
                "text": TEXT,
                "step": TEXT,
                "part": COUNT,
            },
        ),
        PROCEDURE_WRITTEN: EventKind(
            says="a procedure was written of the review as it stood",
            must={"sha256": SHA256, "lines": COUNT, "confirmed": COUNT, "open_questions": COUNT},
        ),
    }
)
