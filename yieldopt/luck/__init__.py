"""Boards, flaws and mishaps drawn by chance, and what comes of them: shared by buying (`sourcing`) and by what may go wrong
(`fragility`). Knows jobs, plans and planning again, and nothing of dealers' lines or studies.
Begin with `drawing_boards.py`, a board of a grade, and `play.py`, a job cut board after board while things come to light.
"""
