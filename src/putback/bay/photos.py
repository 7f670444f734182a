"""One idea: a photo is kept on the shelf under its digest before the record names it, and given out where it does."""

from putback.adapters.photos import NotAPhoto, media_of, wrong_with
from putback.bay.desk import Bay, Closed
from putback.core.record import NotAnEvent, read_event
from putback.core.record.kinds import PHOTO_TAKEN


def keep_photo(bay: Bay, job: str, content: bytes) -> str | NotAPhoto | Closed:
    """Keep a photo of a job as it came; its digest. What is there already is not decoded again.

    Raises:
        StoreFailed, OSError: it was not kept.
    """
    if not bay.store.read(job):
        return Closed(what=f"there is no job {job:.60} here", mend="the photo stays on the device")
    if not bay.shelf.has(content):
        wrong = wrong_with(content)
        if wrong is not None:
            return wrong
    elif media_of(content) is None:
        return NotAPhoto(what="is no JPEG, PNG or WebP", mend="send a photo")
    return bay.shelf.put(content)


def photo_of(bay: Bay, job: str, digest: str) -> tuple[bytes, str] | Closed:
    """A photo that the record of a job names, with its media type; nothing else of the shelf is given out."""
    content = bay.shelf.get(digest) if digest in _named(bay, job) else None
    media = media_of(content) if content is not None else None
    if content is None or media is None:
        return Closed(what="names no photo that is here", mend="it may still be on the phone that took it")
    return content, media


def _named(bay: Bay, job: str) -> set[str]:
    """The digests that the record of a job calls photos."""
    named: set[str] = set()
    for link in bay.store.read(job):
        try:
            event = read_event(link.content)
        except NotAnEvent:
            continue
        many = event.body.get("photos")
        named.update(str(one) for one in many) if isinstance(many, list | tuple) else None
        if event.kind == PHOTO_TAKEN:
            named.add(str(event.body.get("sha256")))
    return named
