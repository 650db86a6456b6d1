"""The packet: page one, the wall sheet, figures, labels, all bound with the boards' sheets, and single pages for other commands.

Knows every room of drawing. Begin reading in `packet.py`.
"""
