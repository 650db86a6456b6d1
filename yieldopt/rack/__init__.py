"""The rack: an inventory in a database that loses nothing.

`Rack` (in `yieldopt.rack.door.facade`) is the one door: the command line and the phone page both go through it. It is loaded
only when it is asked for, since SQLAlchemy is slow to import.

Knows the columns of a job folder, and no planner. Begin reading in `door/facade.py`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from yieldopt.rack.board.record import RackBoard
    from yieldopt.rack.door.facade import Rack, boards_for_job

__all__ = ["Rack", "RackBoard", "boards_for_job"]

_HOMES = {"Rack": "door.facade", "boards_for_job": "door.facade", "RackBoard": "board.record"}


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    import importlib

    return getattr(importlib.import_module(f"{__name__}.{_HOMES[name]}"), name)
