"""The layout worth most at given prices, board by board, and a bound on any: where a new kind of layout goes. And the context
that holds all of a job made ready.
Knows the master problem's demand, not the search.
Begin with `sections.py`, then `engine.py`.
"""
