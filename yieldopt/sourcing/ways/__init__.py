"""The ways to buy (thin stock, 8/4 resawn, both), grades and wide parts, costed by quick layouts and by plans.

Knows layouts and the market. Begin reading in `way.py`.
"""
