"""What every test run needs, however it was started."""

from __future__ import annotations

import signal

if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    # A shell starts what runs in its background deaf to Ctrl-C, and so would be every command that a test interrupts.
    signal.signal(signal.SIGINT, signal.default_int_handler)
