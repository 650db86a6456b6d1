"""Quick layouts: what has to be made, and a board laid out in a thousandth of a second, to compare thousands of boards.

Knows boards made up by chance and sizes; nothing of prices. Begin reading in `wants.py`.
"""
