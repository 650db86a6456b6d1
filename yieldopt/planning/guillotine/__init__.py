"""The best guillotine layout of one rectangle, with any number of stages: defects, kerfs, limits on copies.

Knows whole numbers only. Begin reading in `layout.py`.
"""

from yieldopt.planning.guillotine.engine import solve
from yieldopt.planning.guillotine.model import Answer, Deadline, Defect, Item, Node, Sheet

__all__ = ["Answer", "Deadline", "Defect", "Item", "Node", "Sheet", "solve"]
