"""One idea: what `putback codes import` was asked, and how it says that it cannot."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from putback.core.finding import Finding, Where
from putback.faces.cli.show import UNREADABLE, finding_json, print_findings, print_json

STDIN: Final = "-"


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was asked on the command line."""

    source: str
    out: Path
    stage: str
    heading: tuple[str, ...]
    not_a_heading: tuple[int, ...]
    skip: tuple[int, ...]
    module: str
    byte: str
    column: tuple[str, ...]
    read_number: int | None
    as_what: str | None
    yes: bool
    force: bool
    as_json: bool

    @property
    def is_log(self) -> bool:
        """Whether the source is a log of frames: as it was said, else by its suffix and its first line."""
        if self.as_what is not None or self.source == STDIN:
            return self.as_what == "frames"
        from putback.adapters.frame_logs import is_frame_log  # noqa: PLC0415 - python-can is loaded for logs alone

        return is_frame_log(Path(self.source))


def refuse(findings: Sequence[Finding], asked: Asked, more: Mapping[str, Any] | None = None) -> int:
    """Say why nothing was written; the exit code."""
    if asked.as_json:
        print_json({"written": False, "findings": [finding_json(one) for one in findings]} | dict(more or {}))
    print_findings(findings, err=True)
    return UNREADABLE


def wrong_call(field: str, what: str, mend: str) -> Finding:
    """A fault in the call itself."""
    return Finding(where=Where(file="codes import", field=field), what=what, mend=mend, rule="call")


def pair_of(text: str, option: str, example: str) -> tuple[str, str] | Finding:
    """The two sides of NAME=VALUE."""
    name, sign, value = text.partition("=")
    if not sign:
        return wrong_call(option, f"{text!r} has no =", f"write such as {option} {example}")
    return name.strip(), value.strip()
