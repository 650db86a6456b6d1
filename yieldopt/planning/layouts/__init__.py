"""The candidate: a layout of one stock, the column that it is in the master problem, its sections as arcs, staves shared out.
Knows what is wanted and the wood.
Begin with `layout.py`, then `columns.py`.
"""
