"""Which of a dealer's logged boards to take, and what instead of one that is gone.

Knows needs, for a first guess, and plans. Begin reading in `choosing.py`.
"""
