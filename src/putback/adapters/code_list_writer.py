"""One idea: a read is saved as a code list, whole or not at all, and what nobody heard stands in it as such."""

import csv
import io
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

from putback.adapters.code_lists import COLUMNS
from putback.adapters.whole_file import write_whole
from putback.core.codes.lists.listing import Listed, Listing, Readiness
from putback.core.codes.talk.car_read import CarRead, How, ModuleRead
from putback.core.finding import Finding, Where


def list_text(read: CarRead) -> str:
    """A read of the car as a code list, with what tells how it was read."""
    listing = read.listing("")
    refused = sorted(one.module for one in read.modules if one.how is How.REFUSED)
    lines = [
        *_head(listing),
        *_line("modules refused", ", ".join(refused)),
        *_line("read at", read.at),
        *_line("bus", read.bus),
        *_line("vehicle number", read.vin or ""),
        *_line("stopped", read.stopped),
        *(line for note in read.notes for line in _line("note", note)),
        *(line for one in read.modules for line in _of_module(one)),
    ]
    masks = {one.module: one.mask for one in read.modules}
    return _text(lines, listing.listed, masks)


def listing_text(listing: Listing) -> str:
    """A listing as a code list; for one that was not read by this program."""
    masks = _common_masks(listing.listed)
    lines = [*_head(listing), *(line for module in masks for line in _mask(module, masks[module]))]
    return _text(lines, listing.listed, masks)


def may_write(path: Path, *, force: bool = False) -> Finding | None:
    """Why a list could not be written here, found out before the work; None where it can, as far as can be told."""
    if path.is_dir():
        return _finding(path, "it is a folder", "name a file, such as before.csv")
    if not path.parent.is_dir():
        return _finding(path, f"the folder {path.parent} is not there", "make it, or name another")
    if path.exists() and not force:
        return _finding(path, "it is there already", "name another file, or give --force")
    return None


def write_list(path: Path, text: str, *, force: bool = False) -> Finding | None:
    """Bring a list to the disk in one step, readable by its owner alone: it may hold a vehicle number.

    Returns:
        What stands in the way; an existing file stays as it is, unless `force`.
    """
    refused = may_write(path, force=force)
    if refused is not None:
        return refused
    try:
        if not force:
            path.open("xb").close()  # takes the name, so that nobody else's file is written over
        write_whole(path, text.encode())
    except FileExistsError:
        return _finding(path, "it is there already", "name another file, or give --force")
    except OSError as failure:
        return _finding(path, f"it cannot be written ({failure.strerror})", "name another place")
    return None


def _head(listing: Listing) -> Iterator[str]:
    yield from _line("stage", listing.stage)
    if listing.answered is not None:
        yield f"# modules answered: {', '.join(sorted(listing.answered))}"
    yield from _line("modules silent", ", ".join(sorted(listing.silent)))
    yield from _line("modules heard", ", ".join(sorted(listing.unasked)))
    yield from _line("modules partial", ", ".join(sorted(listing.partial)))
    yield from _line("readiness", "" if listing.readiness is None else _readiness(listing.readiness))
    if listing.permanent is not None:
        yield f"# permanent: {', '.join(listing.permanent) or 'none'}"
    yield from _line("since the read before", listing.since)


def _of_module(one: ModuleRead) -> Iterator[str]:
    yield f"# module {one.module}: {one.pair}"
    if one.how in (How.ANSWERED, How.PARTIAL):
        yield from _mask(one.module, one.mask)
    if one.readiness is not None:
        yield f"# readiness {one.module}: {_readiness(one.readiness)}"
    if one.permanent is not None:
        yield f"# permanent {one.module}: {', '.join(one.permanent) or 'none'}"
    yield from _line(f"vehicle number {one.module}", one.vin or "")
    yield from _line(f"service {one.module}", "" if one.service is None else f"{one.service:02X}")
    yield f"# took {one.module}: {one.took_s:.3f} s"
    yield from (line for said in one.said for line in _line(f"said {one.module}", said))
    yield from (line for note in one.notes for line in _line(f"note {one.module}", note))


def _mask(module: str, mask: int) -> Iterator[str]:
    if mask != 0xFF:
        yield f"# mask {module}: {mask:02X}"


def _line(key: str, value: str) -> Iterator[str]:
    """One line, where there is something to say."""
    words = " ".join(value.split())
    if words:
        yield f"# {key}: {words}"


def _readiness(readiness: Readiness) -> str:
    return f"supported {readiness.supported}, complete {readiness.complete}"


def _text(lines: Iterable[str], listed: Iterable[Listed], masks: Mapping[str, int]) -> str:
    table = io.StringIO()
    writer = csv.writer(table, lineterminator="\n")
    writer.writerow(COLUMNS)
    for one in listed:
        writer.writerow((one.module, one.code, _status(one, masks.get(one.module, 0xFF)), " ".join(one.text.split())))
    return "".join(f"{line}\n" for line in lines) + table.getvalue()


def _status(one: Listed, module_mask: int) -> str:
    """The byte alone where the module's mask says which bits count, else with its own mask."""
    return f"{one.bits:02X}" if one.mask == module_mask else f"{one.bits & one.mask:02X} of {one.mask:02X}"


def _common_masks(listed: Iterable[Listed]) -> dict[str, int]:
    """For each module the mask that all of its lines have; FF where they differ."""
    masks: dict[str, set[int]] = {}
    for one in listed:
        masks.setdefault(one.module, set()).add(one.mask)
    return {module: found.pop() if len(found) == 1 else 0xFF for module, found in masks.items()}


def _finding(path: Path, what: str, mend: str) -> Finding:
    return Finding(where=Where(file=str(path)), what=what, mend=mend, rule="code-list")
