"""A process that ends when its parent does, so that nothing of ours is left running."""

import ctypes
import os
import signal
import sys

_PR_SET_PDEATHSIG = 1


def die_with_parent(sent: int = signal.SIGKILL) -> None:
    """Ask Linux to send this process `sent` when the thread that made it ends. Elsewhere: does nothing."""
    if not sys.platform.startswith("linux"):
        return
    parent = os.getppid()
    ctypes.CDLL(None).prctl(_PR_SET_PDEATHSIG, int(sent))
    if os.getppid() != parent:  # it ended in between
        os.kill(os.getpid(), sent)
