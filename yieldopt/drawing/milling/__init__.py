"""The milling order: what to do after marking, in batches across boards, with sets and glue-ups drawn.

Knows the page and the words, no board's drawing. Begin reading in `milling.py`.
"""
