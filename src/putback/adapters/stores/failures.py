"""One idea: when the world fails, the failure says what happened to the record and what to do.

Whatever is raised from here was not acknowledged: the caller keeps its events and offers them again.
"""


class StoreFailed(Exception):
    """A store cannot do what was asked. `store` names it, `what` says what is wrong, `mend` what to do."""

    def __init__(self, store: str, what: str, mend: str) -> None:
        super().__init__(f"{store}: {what}; {mend}")
        self.store = store
        self.what = what
        self.mend = mend


class NotOurs(StoreFailed):
    """There is something else at this place, or nothing."""


class NewerSchema(StoreFailed):
    """A newer program made this store."""


class Locked(StoreFailed):
    """Somebody else is writing, and did not finish in time."""


class DiskFull(StoreFailed):
    """There is no room to write."""


class ReadOnly(StoreFailed):
    """The store may be read but not written."""


class Unreachable(StoreFailed):
    """The server does not answer, or does not let us in."""


class Damaged(StoreFailed):
    """The store cannot be read as a store any more, or the disk under it fails."""


class NotDurable(StoreFailed):
    """The store is set up so that what it acknowledges could be lost."""


class Refused(StoreFailed):
    """What was asked would break the record."""
