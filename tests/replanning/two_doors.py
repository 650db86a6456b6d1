"""A small job of invented data that can be followed by hand: two doors and rails."""

from __future__ import annotations

from fractions import Fraction as F

from yieldopt.wood.lumber import Board, Job, Part

RAILS = Part("rail", 3, "ash", F(3, 4), F(2), F(20))


DOORS = Part("door", 2, "walnut", F(5, 8), F(5), F(18), match="doors", match_kind="book")


BOARDS = (
    Board("A1", "ash", "4/4", F(1), F(60), F(6), F(1), cost=F(20)),
    Board("A2", "ash", "4/4", F(1), F(60), F(6), F(1), cost=F(25)),
    Board("W1", "walnut", "8/4", F(2), F(60), F(6), F(2), stress="tested", cost=F(60)),
)


JOB = Job("two doors and rails", "in", (RAILS, DOORS), BOARDS)
