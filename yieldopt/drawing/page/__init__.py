"""The page: a few primitives, lettering and its widths, paper, tints, marks, text and tables that run down the pages.

Knows nothing of boards or plans. Begin reading in `primitives.py`, then `flow.py`.
"""
