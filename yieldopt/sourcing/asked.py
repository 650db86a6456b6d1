"""What the user asks of a study of what to buy."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from yieldopt.wood.lumber import Board
from yieldopt.wood.plan import Plan

# Steps of the planner's search for one plan, where plans are counted: about what a few seconds bring.
STEPS_EACH = 60


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
    # Plans of the whole study, counted instead of seconds; None: seconds count.
    steps: int | None = None
    # Whether boards are picked over at the dealer's: none narrower or shorter than pays are taken.
    picked: bool = True
    # By species: the shop's own hidden flaws over those expected.
    own: Mapping[str, float] = field(default_factory=dict)
    # Money there is; what a delivery costs, for each dealer; tax as a share of the bill; None: not said.
    budget: float | None = None
    delivery: float = 0.0
    tax: float = 0.0
    # Two or more of the dealer's logged boards that are held against each other.
    either: Sequence[str] = ()

    @property
    def each_steps(self) -> int | None:
        """Steps of the search for one plan, where steps count."""
        return None if self.steps is None else STEPS_EACH
