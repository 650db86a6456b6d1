"""Columns, a first plan, dives, neighbourhoods, branching: which choice, and how little any could cost.
Knows pricing and the master problem.
Begin with `component.py`, then `generate.py`.
"""
