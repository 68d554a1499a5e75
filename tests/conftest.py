"""Settings for every test."""

import os
import signal

from hypothesis import settings

# How long an example takes on a shared machine says nothing. Tests that mean time measure it.
# A run that decides looks at the same examples each time; by hand each run looks at others.
settings.register_profile("askew", deadline=None, derandomize=bool(os.environ.get("SAME_EXAMPLES")))
settings.load_profile("askew")

# A run that was started deaf to hang-ups would hand that on to the programs it starts, and they are tested on them.
signal.signal(signal.SIGHUP, signal.SIG_DFL)
# A run put in the background by a shell without job control starts deaf to an interrupt, and hands that on too.
if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    signal.signal(signal.SIGINT, signal.default_int_handler)
