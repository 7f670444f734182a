"""One idea: how a phone is told to trust this workshop's authority, system by system, in one list for page and paper.

The words of each system are from memory and differ from version to version; the pages say so.
"""

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True, kw_only=True)
class Steps:
    """What is done on one kind of device, once."""

    system: str
    steps: tuple[str, ...]


TRUST: Final = (
    Steps(
        system="iOS and iPadOS",
        steps=(
            "Tap the certificate here, and allow the profile to be loaded.",
            "Settings, General, VPN and device management: open the profile, More details, and compare the "
            "SHA-256 fingerprint with the one on the workshop's own screen. Only if they are the same: install.",
            "Settings, General, About, Certificate trust settings: switch it on for this certificate.",
        ),
    ),
    Steps(
        system="Android",
        steps=(
            "Tap the certificate here, and keep the file.",
            "Settings: search for “CA certificate”, install it from the file. The phone warns that such a certificate "
            "lets others read along; this one is limited to addresses of local networks.",
            "In the same place, list of user certificates: open it and compare the SHA-256 fingerprint with the one "
            "on the workshop's own screen. Not the same: remove it at once.",
        ),
    ),
    Steps(
        system="any other",
        steps=(
            "Load the certificate here.",
            "Compare its SHA-256 fingerprint with the one on the workshop's own screen.",
            "Add it to the authorities of the browser, for websites only.",
        ),
    ),
)

DIFFER: Final = "The words on a device differ with its system and version."

PLAIN: Final = (
    "The way to this workshop is not encrypted. Who listens in this network reads along, and can act as a paired "
    "phone until that is un-paired.",
    "A phone cannot load the bay page again without the server: keep the page open until all is kept at the server.",
)
