"""What a board may give: stocks, the grid, where items fit, cells, what a part costs at first, components.
Knows what is wanted.
Begin with `stock.py`, then `fits.py`.
"""
