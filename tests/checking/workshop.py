"""One small job with something of every kind in it, so that every rule has something to be broken on. Invented data."""

from __future__ import annotations

from fractions import Fraction as F
from functools import cache

from layouts import layout

from yieldopt.wood.lumber import Board, Defect, EdgePoint, Job, Part
from yieldopt.wood.plan import Plan


def _board(name: str, species: str, quarters: str, nominal: F, length: int, width: F | int, **more: object) -> Board:
    return Board(name, species, quarters, nominal, F(length), F(width), nominal, **more)  # type: ignore[arg-type]


JOB = Job(
    "plant stand and tool tray",
    "in",
    (
        Part("slat", 5, "elm", F(3, 4), F(2), F(20), faces=1),
        Part("end cap", 4, "elm", F(3, 4), F(3), F(5), grain="any"),
        Part("back slip", 2, "elm", F(1, 2), F(3), F(24), match="slips", match_kind="slip"),
        Part("door", 4, "cherry", F(5, 8), F(5), F(18), match="doors", match_kind="book"),
        Part("front a", 1, "cherry", F(3, 4), F(3), F(9), match="fronts", match_kind="run"),
        Part("front b", 1, "cherry", F(3, 4), F(3), F(12), match="fronts", match_kind="run"),
        Part("front c", 1, "cherry", F(3, 4), F(3), F(7), match="fronts", match_kind="run"),
        Part("shelf", 1, "elm", F(3, 4), F(10), F(28), staves=(F(2), F(5))),
        Part("rail", 2, "cherry", F(3, 4), F(2), F(16), match="rails", match_kind="board"),
        Part("stile", 2, "cherry", F(3, 4), F(2), F(22), match="rails", match_kind="board"),
        Part("peg block", 3, "elm", F(1), F(2), F(10), faces=0, allow=frozenset({"worm"})),
    ),
    (
        _board("E1", "elm", "4/4", F(1), 96, 9, bow=F(1, 8), crook=F(1, 8), price_bf=F(5),
               defects=(Defect("knot", "A", F(60), F(4), F(1), F(1)), Defect("split", "both", F(0), F(3), F(1), F(1)))),
        _board("E2", "elm", "5/4", F(5, 4), 84, 8, sawn="flat", stress="tested", cost=F(40), datum_sound=True),
        _board("E3", "elm", "4/4", F(1), 72, 7, price_m3=F(3000),
               edges=(EdgePoint(F(6), F(-1, 4), F(7)), EdgePoint(F(40), F(1, 4), F(13, 2)), EdgePoint(F(70), F(0), F(6)))),
        _board("E4", "elm", "8/4", F(2), 60, 6, stress="unknown", cost=F(35)),
        _board("C1", "cherry", "8/4", F(2), 70, 7, stress="tested", cost=F(60), cup=F(1, 16)),
        _board("C2", "cherry", "4/4", F(1), 100, 8, cost=F(48), twist=F(1, 8), far_sound=True),
        _board("C3", "cherry", "8/4", F(2), 50, 8, stress="tested", cost=F(50)),
        _board("E5", "elm", "6/4", F(3, 2), 60, 8, cost=F(33)),
    ),
)


@cache
def plan_of(seed: int) -> Plan:
    return layout(JOB, seed)
