"""A finished study as its record, as lines of print and as charts.

Reads the study; reckons figures from it, and decides nothing. Begin reading in `everything.py`.
"""
