"""The dealers' price lines: what each can make, which is cheapest for a part, which parts none makes, wood still missing.

Knows quick layouts. Begin reading in `lines.py`.
"""
