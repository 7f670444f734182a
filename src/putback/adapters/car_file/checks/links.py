"""One idea: an id that is named must exist, and a slip is mended by naming the nearest one that does."""

from putback.adapters.car_file.desk import Desk, Reference, singular
from putback.core.car import Car


def unknown_ids(car: Car, desk: Desk) -> None:  # noqa: ARG001
    """Every id that is named somewhere exists in its section.

    Where the whole section is missing that is said once, with the ids it would have to hold.
    """
    absent: dict[tuple[str, ...], list[Reference]] = {}
    for reference in desk.references:
        if any(reference.id in desk.ids.get(section, ()) for section in reference.sections):
            continue
        if reference.id in reference.extra:
            continue
        if any(section in desk.lines or desk.ids.get(section) for section in reference.sections):
            _say_unknown(reference, desk)
        else:
            absent.setdefault(reference.sections, []).append(reference)
    for sections, references in absent.items():
        if not any(map(desk.is_faulty, sections)):
            _say_absent(sections, references, desk)


def _say_unknown(reference: Reference, desk: Desk) -> None:
    near = desk.nearest(reference.id, reference.sections, reference.extra)
    names = " or ".join(map(singular, reference.sections))
    rule = f"unknown-{singular(reference.sections[0])}"
    what = f"no {names} has the id {reference.id!r}"
    where = f"under {reference.sections[0]}:" if reference.sections != ("joints",) else "in a joint of an item"
    mend = f"did you mean {near!r}?" if near else f"add it {where}"
    desk.fault(reference.line, reference.field, what, mend, rule)


def _say_absent(sections: tuple[str, ...], references: list[Reference], desk: Desk) -> None:
    first, section = references[0], sections[0]
    ids = list(dict.fromkeys(reference.id for reference in references))
    listed = ", ".join(ids[:8]) + (f" and {len(ids) - 8} more" if len(ids) > 8 else "")
    times = "once" if len(references) == 1 else f"{len(references)} times"
    what = f"there is no {section}: in this file, yet ids of it are named {times} ({listed})"
    mend = f"add {section}: with {'this id' if len(ids) == 1 else 'these ids'}"
    desk.fault(first.line, first.field, what, mend, f"unknown-{singular(section)}")
