"""The fixtures of rails."""

from rails import roomy, tight

__all__ = ["roomy", "tight"]
