"""One idea: what a mechanic can ask about a tightness stands in one list; the command line and the page show it.

Each tool reads its fields, asks `core.fasten`, and says the answer in one sentence, with the lines behind it. Nothing
is worked out here.
"""

from collections.abc import Mapping
from types import MappingProxyType

from putback.core.fasten.tool import Tool
from putback.tight.electric import DISCHARGE, GLOVES, ISOLATION, METER
from putback.tight.lever import CROWFOOT, WRENCH
from putback.tight.load import LUBRICANT, PRELOAD, STRIP
from putback.tight.order import ORDER
from putback.tight.seat import PLUG
from putback.tight.threads import THREAD, TORQUE

TOOLS: Mapping[str, Tool] = MappingProxyType(
    {
        tool.name: tool
        for tool in (
            WRENCH,
            CROWFOOT,
            ORDER,
            TORQUE,
            THREAD,
            PRELOAD,
            LUBRICANT,
            STRIP,
            PLUG,
            GLOVES,
            METER,
            DISCHARGE,
            ISOLATION,
        )
    }
)
