"""From choice to plan: tidying, cuts in their order, marks, names, wood for the stress test.
Knows layouts and pricing, not the search.
Begin with `assemble.py`.
"""
