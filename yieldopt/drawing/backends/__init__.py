"""Pages written out: SVG, PDF, HTML.

Knows the page and nothing that is drawn on it. Begin reading in `svg.py`.
"""
