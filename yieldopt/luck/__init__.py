"""Boards, flaws and mishaps drawn by chance, and what comes of them: shared by buying (`sourcing`) and by what may go wrong
(`fragility`). Knows jobs, plans, planning again, and what a dealer asks for a board; nothing of purchases or studies.
Begin with `drawing_boards.py`, a board of a grade, and `play.py`, a job cut board after board while things come to light.
"""
