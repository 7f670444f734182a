"""One idea: a sequence of operations comes in as the JSON that `putback plan --json` gives out, or its list alone.

Unknown verbs and wrong types are findings, all at once; an operation keeps its place in the list as its number.
"""

import difflib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from putback.core.finding import Finding, Where
from putback.core.operations import Operation, Verb
from putback.core.quantity import TORQUE_UNITS_NM, Torque

LARGEST_BYTES = 64_000_000

_TEXTS = ("item", "joint", "way", "thread", "drive", "zone", "stow", "guard", "energy", "fluid", "note")
_NUMBERS = ("litres", "minutes")
_WHOLE = ("count", "people")


@dataclass(frozen=True, slots=True, kw_only=True)
class OperationsRead:
    """Operations, or None with the findings that say why not; `targets` as far as the file names them."""

    operations: tuple[Operation, ...] | None
    targets: tuple[str, ...]
    findings: tuple[Finding, ...]


def read_operations(path: Path) -> OperationsRead:
    """Read operations from a JSON file: `{"operations": […], "targets": […]}` or a list."""
    try:
        if path.stat().st_size > LARGEST_BYTES:
            return _refused(path, "the file is larger than 64 MB", "give the operations of one job")
        loaded = json.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        return _refused(path, f"cannot be opened: {error.strerror}", "check the name and the folder")
    except UnicodeDecodeError as error:
        return _refused(path, f"byte {error.start} is no UTF-8", "save the file as UTF-8")
    except (json.JSONDecodeError, RecursionError) as error:
        line = error.lineno if isinstance(error, json.JSONDecodeError) else None
        return _refused(path, "not JSON", "write it with putback plan … --json", line)
    listed = loaded.get("operations") if isinstance(loaded, dict) else loaded
    if not isinstance(listed, list):
        return _refused(path, "no list of operations", 'give {"operations": […]}')
    targets = loaded.get("targets", []) if isinstance(loaded, dict) else []
    findings: list[Finding] = []
    operations = [_operation(str(path), n, raw, findings) for n, raw in enumerate(listed, start=1)]
    return OperationsRead(
        operations=None if findings else tuple(operation for operation in operations if operation),
        targets=tuple(target for target in targets if isinstance(target, str)),
        findings=tuple(findings),
    )


def _refused(path: Path, what: str, mend: str, line: int | None = None) -> OperationsRead:
    where = Where(file=str(path), line=line)
    found = Finding(where=where, what=what, mend=mend, rule="operations-file")
    return OperationsRead(operations=None, targets=(), findings=(found,))


def _operation(file: str, n: int, raw: Any, findings: list[Finding]) -> Operation | None:
    """One operation; what is wrong with it is added to the findings."""

    def wrong(field: str, what: str, mend: str) -> None:
        where = Where(file=file, field=f"operations[{n}].{field}")
        findings.append(Finding(where=where, what=what, mend=mend, rule="operations-file"))

    if not isinstance(raw, Mapping):
        wrong("", "is no mapping", 'write {"verb": …, "item": …}')
        return None
    fields: dict[str, Any] = {}
    try:
        fields["verb"] = Verb(str(raw.get("verb")))
    except ValueError:
        nearest = difflib.get_close_matches(str(raw.get("verb")), list(Verb), n=1, cutoff=0.0)
        wrong("verb", f"{raw.get('verb')!r} is no verb of the list", f"did you mean {str(nearest[0])!r}?")
    for names, kinds, asked in (
        (_TEXTS, (str,), "a text"),
        (_NUMBERS, (int, float), "a number"),
        (_WHOLE, (int,), "a whole number"),
    ):
        for name in names:
            value = raw.get(name)
            if isinstance(value, kinds) and not isinstance(value, bool):
                fields[name] = value
            elif value is not None:
                wrong(name, f"{value!r} is not {asked}", f"write {asked}, or leave it out")
    tools = raw.get("tools", [])
    if isinstance(tools, list) and all(isinstance(tool, str) for tool in tools):
        fields["tools"] = tuple(tools)
    else:
        wrong("tools", f"{tools!r} is no list of texts", "write a list of tool names")
    _torque(raw.get("torque"), fields, wrong)
    return Operation(n=n, **fields) if "verb" in fields else None


def _torque(raw: Any, fields: dict[str, Any], wrong: Any) -> None:
    """A torque as the plan writes it: a mapping, the words "value needed", or nothing."""
    if raw is None:
        return
    if raw == "value needed":
        fields["value_needed"] = True
        return
    value = raw.get("value") if isinstance(raw, Mapping) else None
    unit = raw.get("unit") if isinstance(raw, Mapping) else None
    if not isinstance(value, int | float) or not isinstance(unit, str) or unit not in TORQUE_UNITS_NM:
        wrong("torque", f"{raw!r} is no torque", 'write {"value": 24, "unit": "N·m", "angle_deg": null}')
        return
    angle = raw.get("angle_deg")
    angles = angle if isinstance(angle, list) else [angle] if angle is not None else []
    fields["torque"] = Torque(value=float(value), unit=unit, angles_deg=tuple(map(float, angles)))
    fields["torque_source"] = raw.get("source")
