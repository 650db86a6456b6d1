"""Compiled inner loops. Plain arrays in, plain arrays out; what they mean is said by the modules that call them.

Knows arrays only, and tuples of them. Begin reading in `stock.py`, what a board is to the compiled steps, then `sections.py`.
"""
