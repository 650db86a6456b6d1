"""A board as people type it and tables hold it, to a record and back.

Knows records, and the columns of a job folder. Begin reading in `intake.py`.
"""
