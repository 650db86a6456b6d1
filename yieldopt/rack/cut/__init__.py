"""A board booked as cut or sawn in two, and what cut boards yielded.

Knows the books. Begin reading in `booking.py`.
"""
