"""One idea: where a text is no YAML, say in plain words what a hand would have to change, and on which line."""

import re
from typing import Any, Final

import yaml

from putback.core.finding import Finding, Where

_TAB_INDENT = re.compile(r"^ *\t[ \t]*[^ \t#\r\n]")
_CONTROL_MEND: Final = "put the whole text in quotes"

# A part of the parser's own complaint, what it means, the mend, and whether the place is where the trouble began.
# The wording is that of libyaml 0.2 and of PyYAML 6, which differ a little.
_COMPLAINTS: Final = (
    ("nesting depth", "too many lists or groups stand inside one another", "check the brackets and dashes", False),
    ("unexpected end of stream", "a quote is opened here and never closed", "close it with the same quote", True),
    ("document indicator", "a quote is opened here and never closed", "close it with the same quote", True),
    ("',' or ']'", "the list opened here does not end properly", "check commas and the closing ]", True),
    ("',' or '}'", "the group opened here does not end properly", "check commas and the closing }", True),
    (
        "unknown escape",
        "a backslash in double quotes is followed by a letter that means nothing",
        "use single quotes around this text",
        False,
    ),
    (
        "cannot start any token",
        "a text cannot start with this sign",
        _CONTROL_MEND,
        False,
    ),
    (
        "mapping values are not allowed",
        "a colon stands where none can: in a text, after a key that lacks its own, or on a line indented too deep",
        "put text with a colon in quotes; start the keys of one group in the same column",
        False,
    ),
    ("could not find expected ':'", "a key without a colon", "write a colon and a blank after the key", True),
    (
        "entries are not allowed",
        "a list entry (-) stands where none can",
        "start the list on a line of its own",
        False,
    ),
    ("'-' indicator", "this line is no entry of the list above it", "start all entries with - in one column", False),
    (
        "incompatible YAML",
        "the file asks for another version of YAML",
        "delete the line that starts with %YAML",
        False,
    ),
    ("directive", "a line that starts with % is an order to the parser", "delete it", False),
    ("tag", "an exclamation mark starts a tag, which a car file needs none of", _CONTROL_MEND, False),
    (
        "expected key",
        "this does not line up with the keys above it, or text follows a closed quote",
        "start the keys of one group in the same column; quote text as a whole",
        False,
    ),
    (
        "<block end>",
        "this does not line up with the keys above it, or text follows a closed quote",
        "start the keys of one group in the same column; quote text as a whole",
        False,
    ),
)


def syntax_findings(text: str, name: str, refusal: yaml.MarkedYAMLError) -> tuple[Finding, ...]:
    """What keeps a text from being YAML: every line indented by a tab if one is to blame, else one finding."""
    stopped = _line(refusal.problem_mark) or _line(refusal.context_mark) or 1
    tabs = [number for number, line in enumerate(text.splitlines(), 1) if _TAB_INDENT.match(line)]
    if any(stopped - 1 <= number <= stopped for number in tabs):
        mend = "indent with blanks; in most editors one setting turns tabs into blanks"
        return tuple(_finding(name, number, "the line is indented with a tab", mend, "tab") for number in tabs)
    complaint = f"{refusal.problem or ''} {refusal.context or ''}"
    for part, what, mend, at_start in _COMPLAINTS:
        if part in complaint:
            line = (_line(refusal.context_mark) or stopped) if at_start else stopped
            return (_finding(name, line, what, mend, "syntax"),)
    mend = (
        "check colons, quotes, commas and that the keys of one group start in one column; the rest is read after this"
    )
    return (_finding(name, stopped, "from here on the text cannot be read as YAML", mend, "syntax"),)


def _finding(name: str, line: int, what: str, mend: str, rule: str) -> Finding:
    return Finding(where=Where(file=name, line=line), what=what, mend=mend, rule=rule)


def _line(mark: Any) -> int | None:
    return None if mark is None else int(mark.line) + 1
