"""Published tables of the trade with their sources.

Knows values only. Begin reading in `grades.py`.
"""
