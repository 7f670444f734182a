"""One idea: the job record carries its own proof: the events are attached to it as they are kept, hash by hash."""

import json
from typing import Any

from putback.adapters.record_lines import as_lines
from putback.bay.papers import JobRecord
from putback.core.papers import Section
from putback.faces.pdf.letters import shown
from putback.faces.pdf.plain import section, text
from putback.faces.pdf.setting import NotSet, pdf

_VERIFY = (
    "The events are attached to this file as record.jsonl, exactly as they are kept. Save that file, then run "
    "putback record verify record.jsonl --head followed by the head above: it chains the events anew and names any "
    "that was changed, lost or moved. Any program with SHA-256 can do the same; each line holds the number, the time "
    "of receipt, the event's bytes and its hash.",
    "Lists of codes are attached too, byte by byte, where there are any; the record names each by its SHA-256. They "
    "may hold the vehicle number.",
    "A whole record written anew is found only against a head that was kept elsewhere: on the hand-over sheet, on a "
    "device. Names, telephone numbers and plates stand outside the record and can be deleted there; this paper shows "
    "them as they were known when it was made.",
    "A letter that the typefaces of this paper do not have is written as its code, such as [U+6F22].",
)


def record_pdf(record: JobRecord, *, valley: str = "") -> bytes:
    """The job record as PDF/A-3b; the same record gives the same bytes.

    Args:
        record: what it says.
        valley: a drawing of the round trip, as SVG; "" for none.

    Raises:
        NotSet: the typesetter refused.
    """
    attached = {"log": as_lines(record.links).decode(), "lists": json.dumps(record.lists, ensure_ascii=False)}
    try:
        return pdf("record", _says(record, valley, plain=False), at=record.at, attached=attached)
    except NotSet:
        return pdf("record", _says(record, "", plain=True), at=record.at, attached=attached)


def _says(record: JobRecord, valley: str, *, plain: bool) -> dict[str, Any]:
    def said(words: str) -> str:
        return text(words, plain=plain)

    def all_of(sections: list[Section]) -> list[dict[str, Any]]:
        return [section(one, plain=plain) for one in sections]

    energies = [one for one in record.sections if one.id.startswith("energy-")]
    return {
        "title": said(record.title),
        "running": text(f"{record.job} · {record.car}", plain=plain, longest=40),
        "short": record.kept[: record.kept.index(":") + 17] + "…",
        "invented": record.invented,
        "facts": [[said(name), said(words)] for name, words in record.facts],
        "faults": [said(one) for one in record.faults],
        "valley": drawing(valley),
        "sections": all_of([one for one in record.sections if one not in energies]),
        "energies": all_of(energies),
        "authority": said(record.authority),
        "chain": f"{record.events} events, each chained to the one before it by SHA-256. The head, number and hash:",
        "head": record.head,
        "verify": list(_VERIFY),
    }


def drawing(svg: str) -> str:
    """A drawing in the typefaces of the papers, on white."""
    return shown(svg.replace("system-ui,sans-serif", "Libertinus Serif").replace("#fbfaf7", "#ffffff"))
