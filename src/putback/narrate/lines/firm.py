"""One idea: a draft becomes a procedure whose lines nobody has confirmed yet, and whose questions are open."""

from dataclasses import fields
from typing import Any

from putback.core.procedure import Line, Procedure, Question
from putback.narrate.lines.aliases import NO_ALIASES, Aliases
from putback.narrate.lines.draft import Draft
from putback.narrate.lines.said import Said


def as_procedure(
    draft: Draft, *, car: str, file: str, aliases: Aliases = NO_ALIASES, high_voltage: bool | None = None
) -> Procedure:
    """The procedure that a draft is, before review.

    Args:
        draft: what was heard.
        car: the vehicle platform.
        file: where the procedure will stand.
        aliases: what things are called on this car.
        high_voltage: whether the car has high voltage; None: not known, and that is written.
    """
    return Procedure(
        car=car,
        file=file,
        high_voltage=high_voltage,
        aliases=aliases.names,
        lines=tuple(line_of(one) for one in draft.operations),
        questions=tuple(
            Question(kind=asked.kind, text=asked.text, operation=asked.operation) for asked in draft.questions
        ),
    )


def line_of(said: Said, **more: Any) -> Line:
    """The line that an operation is; whatever was said of it is kept.

    Args:
        said: as it was heard.
        more: keys of the line that say more, or otherwise, than what was heard.
    """
    heard = {one.name: getattr(said, one.name) for one in fields(said)}
    return Line(**(heard | more))
