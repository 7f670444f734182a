"""One idea: whatever a narration comes as (SRT, WebVTT, plain notes with or without times), it is read as one text.

What cannot be read as a cue is kept as words and told; no line is dropped unsaid. Any encoding is taken: a mark of
UTF-8 or UTF-16 is believed, then UTF-8, then Windows-1252. Formats: WebVTT (W3C); SRT has no standard, so what
players accept is accepted: comma or point before the milliseconds, hours left out, a missing cue number.
"""

import codecs
import re
import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from putback.core.finding import Finding, Kind, Where
from putback.narrate.text.line_ends import end_sentences
from putback.narrate.text.spoken import Cue, Spoken

LONGEST = 4_000_000
"""A narration may have so many bytes, and its words half as many signs: a day of talk has fewer than two million."""

_TIME = r"(?:(\d{1,3}):)?(\d{1,2}):(\d{1,2})(?:[.,](\d{1,3}))?"
_SPAN = re.compile(rf"\s*{_TIME}\s*-->\s*{_TIME}(?:\s.*)?")
_STAMP = re.compile(r"[ \t]*[\[(](?:(\d{1,3}):)?(\d{1,3}):(\d{2})(?:[.,]\d+)?[\])][ \t]*")
_TAG = re.compile(r"<[^<>\n]{0,200}>|\{\\[^{}\n]{0,100}\}")
_NUMBER = re.compile(r"\s*\d+\s*")
_PLAIN = re.compile(r"(?<![^\W_])[A-Za-z]{2,}(?![^\W_])|(?<![^\W_])\d{1,4}(?![^\W_])")
_OWN_FILE = re.compile(r"^putback:[ \t]*([a-z]+/\d+)", re.MULTILINE)
_LOOKED_AT = 20_000
"""So many signs tell whether a file holds words at all."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Heard:
    """What came of a narration: the text with its times, and what is to be said of the file."""

    spoken: Spoken
    findings: tuple[Finding, ...] = ()


def read_narration(data: bytes, name: str) -> Heard | Finding:
    """Read a narration of any form; the finding where there is nothing to read.

    Args:
        data: the file.
        name: its name, for findings.

    >>> heard = read_narration(b"1\\n00:00:01,000 --> 00:00:03,000\\ncover off\\n", "job.srt")
    >>> heard.spoken.text, heard.spoken.second(6)
    ('cover off', 2.3)
    """
    if len(data) > LONGEST:
        return _wrong(name, f"it has {len(data)} bytes", f"give it in parts of at most {LONGEST} bytes")
    text = _decoded(data)
    if not text.strip():
        return _wrong(name, "there are no words in it", "name a file with captions or notes")
    own = _OWN_FILE.search(text[:_LOOKED_AT])
    if own is not None:
        return _wrong(name, f"it is a file of kind {own[1]}, and no narration", "name a file with captions or notes")
    heard = _heard(text, name)
    if not heard.findings and _is_hardly_words(heard.spoken.text):
        note = _wrong(name, "most of it is no words", "check that it is the right file")
        heard = replace(heard, findings=(replace(note, kind=Kind.NOTE),))
    if len(heard.spoken.text) > LONGEST // 2:
        return _wrong(name, f"it has {len(heard.spoken.text)} signs", f"give it in parts of at most {LONGEST // 2}")
    return heard


def _is_hardly_words(text: str) -> bool:
    """Whether less than half of its signs stand in words and numbers of plain letters."""
    head = text[:_LOOKED_AT]
    plain = sum(len(word) for word in _PLAIN.findall(head))
    signs = sum(not sign.isspace() for sign in head)
    return plain < signs / 2


def _heard(text: str, name: str) -> Heard:
    lines = re.split(r"\r\n|\r|\n", text)
    if any(_SPAN.fullmatch(line) for line in lines):
        return _captions(lines, name)
    if any(_STAMP.match(line) for line in lines):
        return Heard(spoken=_stamped(lines))
    return Heard(spoken=Spoken(text=text, breaks=_line_breaks(text)))


def _line_breaks(text: str) -> frozenset[int]:
    ends = [match.start() for match in re.finditer(r"\r\n|\r|\n", text)]
    return frozenset(ends) if end_sentences(re.split(r"\r\n|\r|\n", text)) else frozenset()


def _wrong(name: str, what: str, mend: str) -> Finding:
    return Finding(where=Where(file=name), what=what, mend=mend, rule="narration")


def _decoded(data: bytes) -> str:
    for mark, encoding in (
        (codecs.BOM_UTF8, "utf-8-sig"),
        (codecs.BOM_UTF16_LE, "utf-16"),
        (codecs.BOM_UTF16_BE, "utf-16"),
    ):
        if data.startswith(mark):
            return _words_only(data.decode(encoding, errors="replace"))
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError:
        text = data.decode(_guess(data), errors="replace")
    return _words_only(text)


def _guess(data: bytes) -> str:
    """UTF-16 without its mark has a zero beside every letter; all else is taken as the old Western page."""
    head = data[:4096]
    if head[1::2].count(0) > len(head) // 4:
        return "utf-16-le"
    return "utf-16-be" if head[::2].count(0) > len(head) // 4 else "cp1252"


def _words_only(text: str) -> str:
    """The text without signs that only turn the direction of writing or show nothing."""
    if text.isascii() and "\x00" not in text:
        return text
    return "".join(sign for sign in text if sign in "\n\r\t" or unicodedata.category(sign) not in ("Cf", "Cc", "Cs"))


# captions


def _captions(lines: Sequence[str], name: str) -> Heard:
    findings: list[Finding] = []
    pieces: list[tuple[str, float | None, float | None]] = []
    for number, begins, end, words in _cues(lines):
        backwards = begins is not None and end is not None and end < begins
        ends = None if backwards else end
        if backwards:
            findings.append(_note(name, number, "the cue ends before it begins", "its end is not used"))
        if begins is None:
            findings.append(_note(name, number, "words that stand in no cue", "they are taken in their place"))
        pieces.append((words, begins, ends))
    if not pieces:
        findings.append(_note(name, None, "no cue has words", "check that it is the right file"))
    return Heard(spoken=_joined(pieces), findings=tuple(findings))


def _note(name: str, line: int | None, what: str, mend: str) -> Finding:
    return Finding(where=Where(file=name, line=line), what=what, mend=mend, rule="narration", kind=Kind.NOTE)


def _cues(lines: Sequence[str]) -> Iterator[tuple[int, float | None, float | None, str]]:
    """Every cue that has words: its line, its times, its words. Words outside cues come without times."""
    place = _after_head(lines)
    while place < len(lines):
        line = lines[place]
        if re.match(r"(NOTE|STYLE|REGION)\b", line):
            place = _next_empty(lines, place)
        elif span := _SPAN.fullmatch(line):
            end = _end_of_cue(lines, place + 1)
            if words := _plain(lines[place + 1 : end]):
                yield place + 1, _seconds(span.groups()[:4]), _seconds(span.groups()[4:]), words
            place = end
        else:
            is_label = place + 1 < len(lines) and _SPAN.fullmatch(lines[place + 1])
            if line.strip() and not is_label and not _NUMBER.fullmatch(line) and (words := _plain([line])):
                yield place + 1, None, None, words
            place += 1


def _after_head(lines: Sequence[str]) -> int:
    return _next_empty(lines, 0) if lines and lines[0].startswith("WEBVTT") else 0


def _next_empty(lines: Sequence[str], place: int) -> int:
    while place < len(lines) and lines[place].strip():
        if _SPAN.fullmatch(lines[place]):
            return place
        place += 1
    return place


def _end_of_cue(lines: Sequence[str], place: int) -> int:
    """The line after a cue's words: an empty one, or the next cue where no empty line stands between."""
    while place < len(lines) and lines[place].strip():
        if place + 1 < len(lines) and _SPAN.fullmatch(lines[place + 1]) and _NUMBER.fullmatch(lines[place]):
            return place
        if _SPAN.fullmatch(lines[place]):
            return place
        place += 1
    return place


def _plain(lines: Sequence[str]) -> str:
    """The words of a cue, without the tags that only change their looks, on one line."""
    return " ".join(stripped for line in lines if (stripped := _TAG.sub("", line).strip()))


def _seconds(parts: Sequence[str | None]) -> float:
    hours, minutes, seconds, thousandths = parts
    whole = int(hours or 0) * 3600 + int(minutes or 0) * 60 + int(seconds or 0)
    return whole + int((thousandths or "0").ljust(3, "0")) / 1000


# notes with times


def _stamped(lines: Sequence[str]) -> Spoken:
    """Lines with a time before some of them: a line without one goes on with the line before."""
    pieces: list[tuple[str, float | None, float | None]] = []
    for line in lines:
        stamp = _STAMP.match(line)
        words = line[stamp.end() :].strip() if stamp else line.strip()
        begins = None
        if stamp:
            hours, minutes, seconds = (int(part or 0) for part in stamp.groups())
            begins = float(hours * 3600 + minutes * 60 + seconds)
        if words:
            pieces.append((words, begins, None))
    ends = [begins for _, begins, _ in pieces[1:]] + [None]
    spoken = _joined([(words, begins, end) for (words, begins, _), end in zip(pieces, ends, strict=True)])
    if end_sentences([words for words, _, _ in pieces]):
        return replace(spoken, breaks=frozenset(cue.end for cue in spoken.cues))
    return spoken


def _joined(pieces: Sequence[tuple[str, float | None, float | None]]) -> Spoken:
    cues, place = [], 0
    for words, begins, ends in pieces:
        cues.append(Cue(start=place, end=place + len(words), begins_s=begins, ends_s=ends))
        place += len(words) + 1
    return Spoken(text=" ".join(words for words, _, _ in pieces), cues=tuple(cues))
