"""How much to buy: boards made up over and over, the least purchase that is enough often enough, tried with the planner.

Knows layouts, the market, and plans of the ways. Begin reading in `needs.py`.
"""
