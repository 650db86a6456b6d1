"""Figures found by trial: frozen, checked, and handed in, so that a bench can vary them; each says which bench it was found with.

It knows nothing of what the figures are for. Begin reading in `whole.py`, which gathers them all.

None of them decides what a plan may be or whether a bound holds, only how soon the search comes to it and which of two plans of
one cost it takes; but for the two figures of `Pricing` that say which layouts are looked at, and so what the bound is a bound of.
Tolerances of sums, limits of the machine's numbers, and how much a line of print names are no figures of this kind: they
stay where they are used.
"""

from yieldopt.planning.tuning.dense import Dense
from yieldopt.planning.tuning.finish import Cared, Ending, StripRoom, Tidying
from yieldopt.planning.tuning.pricing import Pricing, Scale, Spreading
from yieldopt.planning.tuning.reasons import Conflicts, Crowding, Trying, Unused
from yieldopt.planning.tuning.search import Completing, Diving, Effort, Freeing, Generating, Nodes, Steering, Turns
from yieldopt.planning.tuning.whole import USUAL, Tuning

__all__ = [
    "USUAL",
    "Cared",
    "Completing",
    "Conflicts",
    "Crowding",
    "Dense",
    "Diving",
    "Effort",
    "Ending",
    "Freeing",
    "Generating",
    "Nodes",
    "Pricing",
    "Scale",
    "Spreading",
    "Steering",
    "StripRoom",
    "Tidying",
    "Trying",
    "Tuning",
    "Turns",
    "Unused",
]  # fmt: skip
