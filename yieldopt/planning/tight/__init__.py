"""Jobs that need nearly all their wood: a search for a place for every part, whatever it costs."""

from yieldopt.planning.tight.packing import Tight

__all__ = ["Tight"]
