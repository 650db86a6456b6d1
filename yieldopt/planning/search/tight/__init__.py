"""Jobs that need nearly all their wood: a search for a place for every part, whatever it costs.

Knows what the search knows. Begin reading in `choosing.py`.
"""

from yieldopt.planning.search.tight.packing import Tight

__all__ = ["Tight"]
