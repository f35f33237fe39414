"""Control-C, from the first import to the last file. It loads nothing, since it comes before everything."""

from __future__ import annotations

import _thread
import os
import sys
import time

STATUS = 130
"""The exit status of a run that was interrupted."""

SAID = "Interrupted; what was finished is kept."

_SIGINT = 2
_SOON = 0.02  # seconds, by when whatever lost an interrupt has returned


def lose_none() -> None:
    """Sees to it that every interrupt arrives.

    Python drops one that comes while it calls back from within, as it does at every import, and
    says so to a hook; from there it is sent once more.
    """
    shown = sys.unraisablehook

    def hook(lost: sys.UnraisableHookArgs) -> None:
        if issubclass(lost.exc_type, KeyboardInterrupt):
            _thread.start_new_thread(_send_again, ())
        else:
            shown(lost)

    sys.unraisablehook = hook


def _send_again() -> None:
    time.sleep(_SOON)
    if sys.platform == "win32":
        _thread.interrupt_main()
    else:
        os.kill(os.getpid(), _SIGINT)  # which also ends a wait, for a file or a process


def hear_no_more() -> None:
    """From here to the end of the process an interrupt changes nothing: it was told of, and the end is near."""
    import signal

    signal.signal(signal.SIGINT, signal.SIG_IGN)
