"""The drawing room: chalk sheets, milling order, labels and charts, recorded once and written as SVG, PDF and HTML.

Knows the job, a checked plan and what can be read off it. Begin reading in `packet/packet.py`; the rooms stand in DEVELOPERS.md.
"""
