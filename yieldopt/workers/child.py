"""What a process that works for another does first: leave Ctrl-C to it, and end when it ends."""

from __future__ import annotations

import os
import signal
import threading
from multiprocessing import parent_process


def settle() -> None:
    """Run once in the new process."""
    # Ctrl-C reaches every process of a terminal; what to do about it is for the first one to say.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_parent, daemon=True).start()


def _end_with_parent() -> None:
    """A command that was killed can't end its workers, and they would wait for work for ever."""
    parent = parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)
