"""What to buy: resaw thick stock or buy thin, at which price it turns, which grade, how much, which boards.

Boards to be bought are made up by chance and laid out, quickly by the thousand and by real plans as far as the time goes.
Begin reading in `study.py`.
"""
