"""One board: its drawing with all marks, and the sheet with the lists that go with it.

Knows the page and the words. Begin reading in `boardsheet.py`, then `boarddrawing.py` and `rowframe.py`.
"""
