"""What is said in more than one place, in one wording: where a cut lies, cautions, margins, test pieces, what to buy.

Draws nothing; knows the page's setting. Begin reading in `cutplace.py`.
"""
