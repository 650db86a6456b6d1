"""One board as the rack keeps it, a part of it as a board of its own, and what can go wrong.

Values only: nothing of the database. Begin reading in `record.py`.
"""
