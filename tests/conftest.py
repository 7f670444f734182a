"""One idea: no test hangs on the machine: none is timed, and Ctrl-C works for what tests start, behind a shell too."""

import signal

from hypothesis import settings

settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")

if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    # `make test &` of a script starts with Ctrl-C ignored, and what tests start would inherit that and never end
    signal.signal(signal.SIGINT, signal.default_int_handler)
