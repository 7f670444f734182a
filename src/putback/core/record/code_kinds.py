"""One idea: a read of the codes is an event; the list itself is a file of its own, named by its SHA-256."""

from collections.abc import Mapping
from types import MappingProxyType

from putback.core.codes.lists.listing import Stage
from putback.core.record.shapes import COUNT, ID, SHA256, TEXT, TEXTS, EventKind, one_of

CODES_READ = "codes read"
CODES_CLEARED = "codes cleared"

CODES: Mapping[str, EventKind] = MappingProxyType(
    {
        CODES_READ: EventKind(
            says="codes were read; the list is a file of its own",
            must={"stage": one_of(*(str(stage) for stage in Stage)), "sha256": SHA256},
            may={
                "codes": COUNT,
                "answered": COUNT,
                "silent": COUNT,
                "partial": COUNT,
                "stopped": TEXT,
                "since": TEXT,
                "note": TEXT,
            },
        ),
        CODES_CLEARED: EventKind(
            says="codes were cleared, after this list was saved; what did not confirm it is named apart",
            must={"before_sha256": SHA256, "modules": TEXTS},
            may={"not_cleared": TEXTS, "who": ID, "note": TEXT},
        ),
    }
)
