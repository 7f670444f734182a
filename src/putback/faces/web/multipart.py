"""One idea: a form with a file in it is read part by part; what is not one of ours is a form with that fault.

Form: RFC 7578, as browsers send it: each part has a `Content-Disposition` with a name, a file also a `filename`.
"""

import re
from dataclasses import dataclass
from typing import Final

from putback.faces.web.form import MOST_FIELDS, Form, read_form

_BOUNDARY: Final = re.compile(r'multipart/form-data;\s*boundary="?([0-9A-Za-z\'()+_,./:=? -]{1,70})"?\s*', re.ASCII)
_NAME: Final = re.compile(r'\bname="([^"\r\n]*)"')
_FILE_NAME: Final = re.compile(r'\bfilename="([^"\r\n]*)"')
_TORN: Final = ("form", "did not arrive whole; fill it in again")


@dataclass(frozen=True, slots=True, kw_only=True)
class SentFile:
    """A file of a form; `name` is the last piece of what the sender calls it."""

    name: str
    content: bytes


def read_form_with_files(body: bytes, content_type: str) -> tuple[Form, dict[str, SentFile]]:
    """The fields of a form and its files by their fields; an urlencoded form has no files."""
    match = _BOUNDARY.fullmatch(content_type)
    if match is None:
        return read_form(body), {}
    pieces = (b"\r\n" + body).split(b"\r\n--" + match[1].strip().encode())
    if len(pieces) < 2 or not pieces[-1].startswith(b"--") or len(pieces) > MOST_FIELDS:
        return Form(fields={}, wrong=[_TORN]), {}
    fields: dict[str, list[str]] = {}
    files: dict[str, SentFile] = {}
    for piece in pieces[1:-1]:
        head, blank, content = piece.partition(b"\r\n\r\n")
        said = head.decode("utf-8", errors="replace")
        name, file = _NAME.search(said.replace("filename=", "file=")), _FILE_NAME.search(said)
        if not blank or name is None:
            return Form(fields={}, wrong=[_TORN]), {}
        if file is None:
            fields.setdefault(name[1], []).append(content.decode("utf-8", errors="replace"))
        elif file[1]:
            files[name[1]] = SentFile(name=re.split(r"[\\/]", file[1])[-1], content=content)
    return Form(fields=fields), files
