"""One idea: a job under way is its car, its plan kept at opening, and its record; all else is worked out from these.

Nothing else of this layer knows jobs. Faces ask `Bay`; the page that works without a server gets the same tables.
"""

from putback.bay.desk import Bay, Closed, JobLine, JobView, NotTaken, Opening, OpenJob, Taken
from putback.bay.now import Look, Now, Pack, Received, Standing, looks_of, now_of
from putback.bay.shelf import Shelf

__all__ = [
    "Bay",
    "Closed",
    "JobLine",
    "JobView",
    "Look",
    "NotTaken",
    "Now",
    "OpenJob",
    "Opening",
    "Pack",
    "Received",
    "Shelf",
    "Standing",
    "Taken",
    "looks_of",
    "now_of",
]
