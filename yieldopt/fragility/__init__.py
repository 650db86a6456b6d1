"""How fragile is a plan: surprises drawn by chance, each followed by planning again, and plans that stand them.

Knows re-planning and luck. Begin reading in `study.py`.
"""
