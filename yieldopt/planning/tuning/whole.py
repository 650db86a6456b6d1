"""All figures found by trial, as one object that goes with a job's context; a room takes its own."""

from __future__ import annotations

from dataclasses import dataclass, field

from yieldopt.planning.tuning.dense import Dense
from yieldopt.planning.tuning.finish import Cared, Ending, StripRoom, Tidying
from yieldopt.planning.tuning.pricing import Pricing, Scale, Spreading
from yieldopt.planning.tuning.reasons import Conflicts, Crowding, Trying, Unused
from yieldopt.planning.tuning.search import Completing, Diving, Freeing, Generating, Nodes, Steering, Turns


@dataclass(frozen=True)
class Tuning:
    """All of them."""

    freeing: Freeing = field(default_factory=Freeing)
    branching: Nodes = field(default_factory=Nodes)
    diving: Diving = field(default_factory=Diving)
    completing: Completing = field(default_factory=Completing)
    generating: Generating = field(default_factory=Generating)
    steering: Steering = field(default_factory=Steering)
    turns: Turns = field(default_factory=Turns)
    dense: Dense = field(default_factory=Dense)
    scale: Scale = field(default_factory=Scale)
    pricing: Pricing = field(default_factory=Pricing)
    spreading: Spreading = field(default_factory=Spreading)
    cared: Cared = field(default_factory=Cared)
    tidying: Tidying = field(default_factory=Tidying)
    strip_room: StripRoom = field(default_factory=StripRoom)
    ending: Ending = field(default_factory=Ending)
    conflicts: Conflicts = field(default_factory=Conflicts)
    crowding: Crowding = field(default_factory=Crowding)
    unused: Unused = field(default_factory=Unused)
    trying: Trying = field(default_factory=Trying)


# As everything is planned unless a bench asks for something else.
USUAL = Tuning()
