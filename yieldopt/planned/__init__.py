"""The one way by which a plan reaches anybody: planned, checked, then written.
Knows the planner, the check, the rack and the job's files.
Begin with `checked.py`.
"""
