"""Charts as vectors in our own lettering: the wood, thicknesses, the search, what to buy.

Knows the page and the words. Begin reading in `chartink.py`.
"""
