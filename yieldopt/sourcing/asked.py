"""What the user asks of a study of what to buy."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from yieldopt.lumber import Board
from yieldopt.plan import Plan


@dataclass(frozen=True)
class Asked:
    """Settings of one study; the defaults are the command's."""

    seconds: float = 300.0
    seed: int = 0
    # How often the purchase must suffice, and draws for it at most.
    chance: float = 0.95
    draws: int = 200
    # Flaws a square foot that planing uncovers.
    hidden: float = 0.02
    # Stress of boards to be bought.
    stress: str = "unknown"
    # The maker's own minutes for a resaw pass, and what an hour is worth; None: not said.
    minutes: float | None = None
    hourly: float | None = None
    # False: as if the rack were empty.
    rack: bool = True
    # A plan on the rack made before, checked; None: one is made.
    plan: Plan | None = None
    # The dealer's logged boards; empty: not logged.
    offered: Sequence[Board] = ()
