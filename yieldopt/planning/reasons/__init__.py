"""Why not: parts that conflict or have no place, boards not cut, what one more board should be.
Knows the search.
Begin with `report.py`, then `missing.py`.
"""
