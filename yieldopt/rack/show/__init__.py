"""Boards in words and tables, as sketch, picture, label and chart.

Knows records and what was booked; opens no rack. Begin reading in `wording.py`.
"""
