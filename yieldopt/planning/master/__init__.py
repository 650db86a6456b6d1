"""The master problem: the linear programme over columns, and choices in whole numbers by paths or by the solver. Where a new
demand constraint goes.
Knows layouts, not how they are priced.
Begin with `programme.py`, then `restrict.py`.
"""
