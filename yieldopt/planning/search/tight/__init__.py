"""Jobs that need nearly all their wood: a search for a place for every part, whatever it costs."""

from yieldopt.planning.search.tight.packing import Tight

__all__ = ["Tight"]
