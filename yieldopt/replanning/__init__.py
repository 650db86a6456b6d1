"""When the wood surprises: the state of a half-cut job, and a plan of what is left. `replan` is the way in.

Knows planning and the check. Begin reading in `again.py`.
"""
