"""Jobs small enough to enumerate, of every kind that the enumeration knows: see `exhaustive`."""

from __future__ import annotations

from fractions import Fraction as F
from random import Random

from exhaustive import KERF, Blanks

from yieldopt.wood.lumber import Allowances, Board, Defect, Job, Kerf, Machines, Part, Shop, Values

# The planner tries so many sets of unlike layers at least; jobs with more are not drawn.
FEW_SETS = 100


def tiny_job(seed: int) -> Job:
    """1 to 3 boards, 2 to 4 kinds of part, by turns plain, with one defect a board, short parts, thick stock."""
    rng = Random(seed)
    while True:
        job = _drawn(rng, seed)
        if Blanks(job).sets_of_unlike() <= FEW_SETS:
            return job


def least_offcut_beside_short_strips() -> Job:
    """Parts a little shorter than the least offcut: a section long enough to keep one beside them pays, though no strip is as
    long as it."""
    shop = Shop(
        allowances=Allowances(edge=F(1, 2)),
        kerf=Kerf(KERF, KERF, F(1, 16)),
        machines=Machines(min_mill_length=F(1), min_rip_width=F(1, 2)),
        values=Values(F(63, 4), F(3, 4), F(3, 5)),
    )
    boards = (Board("B0", "oak", "4/4", F(1), F(60) - KERF, F(6) - KERF, F(1), cost=F(55)),)
    parts = (
        Part("p", 3, "oak", F(3, 4), F(9, 4) - F(1, 2), F(14) - F(5, 4)),
        Part("q", 1, "oak", F(3, 4), F(17, 4) - F(1, 2), F(9) - F(5, 4)),
    )
    return Job("least offcut beside short strips", "in", parts, boards, shop)


def two_rails_under_a_panel() -> Job:
    """One 8/4 blank gives a panel, and from under it two rails side by side; by themselves they need another board."""
    shop = Shop(kerf=Kerf(KERF, KERF, F(1, 16)), machines=Machines(min_mill_length=F(12)))
    length, width = F(24) - KERF + 4, F(6) - KERF
    boards = tuple(
        Board(f"B{n}", "oak", "8/4", F(2), length, width, F(2), stress="tested", cost=F(30 + n)) for n in range(2)
    )
    parts = (
        Part("panel", 1, "oak", F(3, 4), F(6) - F(1, 2), F(24) - F(5, 4)),
        Part("rail", 2, "oak", F(3, 4), F(3) - F(1, 2), F(20) - F(5, 4)),
    )
    return Job("two rails under a panel", "in", parts, boards, shop)


def only_one_part_has_a_place() -> Job:
    """Three parts of which one has a place on the one board: that with which most is kept, whatever the others would be worth."""
    shop = Shop(
        kerf=Kerf(KERF, KERF, F(1, 16)), machines=Machines(min_mill_length=F(1)), values=Values(F(55, 4), F(7, 4), F(3, 5))
    )
    boards = (Board("B0", "oak", "8/4", F(2), F(151, 4), F(23, 4), F(2), cost=F(3691, 100)),)
    sizes = ((1, F(63, 4)), (2, F(67, 4)), (1, F(79, 4)))
    parts = tuple(Part(f"P{k}", qty, "oak", F(3, 4), F(7, 2), length) for k, (qty, length) in enumerate(sizes))
    return Job("only one part has a place", "in", parts, boards, shop)


def _drawn(rng: Random, seed: int) -> Job:
    thick, flawed, short = rng.random() < 0.5, rng.random() < 0.4, rng.random() < 0.35
    allowances = Allowances(defect_along=F(rng.randint(0, 1)), defect_across=F(rng.randint(0, 1)), edge=F(1, 8), end=F(1, 2))
    machines = Machines(
        min_mill_length=rng.randint(11, 15) - KERF if short else F(1),
        min_rip_width=F(3, 4),
        resaw_height=F(rng.choice((3, 10))),
    )
    values = Values(rng.randint(12, 17) - KERF, rng.randint(2, 3) - KERF, rng.choice((F(0), F(3, 5), F(3, 5))))
    shop = Shop(allowances=allowances, kerf=Kerf(KERF, KERF, F(1, 16)), machines=machines, values=values)
    boards = tuple(_board(rng, f"B{n}", thick, flawed) for n in range(rng.randint(1, 2 if thick else 3)))
    # Rough sizes with a kerf in whole inches: an end is 1/2, an edge 1/8.
    thicknesses = rng.choice(((F(3, 4),), (F(3, 4), F(3, 8)), (F(1, 2),))) if thick else (F(3, 4),)
    parts = tuple(
        Part(
            f"P{k}",
            rng.randint(1, 2 if thick else 3),
            "oak",
            rng.choice(thicknesses),
            rng.randint(2, 5) - F(1, 2),
            (rng.randint(4, 8) if short and rng.random() < 0.6 else rng.randint(12, 24)) - F(5, 4),
            rng.choice((2, 2, 1, 0)),
        )
        for k in range(rng.randint(2, 3 if thick else 4))
    )
    return Job(f"tiny {seed}", "in", parts, boards, shop)


def _board(rng: Random, name: str, thick: bool, flawed: bool) -> Board:
    length, width = rng.randint(30, 44), rng.randint(4, 8)
    marks = []
    if flawed and rng.random() < 0.7:
        kind = rng.choice(("check", "check", "knot", "loose knot", "worm"))
        face = rng.choice(("both", "A", "B"))
        x, y = rng.randint(4, length - 6) - KERF, rng.randint(1, width - 2) - KERF
        marks.append(Defect(kind, face, x, y, rng.randint(1, 4) + KERF, 1 + KERF))
    quarters, thickness = (rng.choice((("8/4", F(2)), ("8/4", F(15, 8)))) if thick and rng.random() < 0.8 else ("4/4", F(1)))
    return Board(
        name,
        "oak",
        quarters,
        F(2) if quarters == "8/4" else F(1),
        length - KERF + 4,
        width - KERF,
        thickness,
        stress=rng.choice(("tested", "unknown", "tested")),
        bow=F(rng.choice((0, 0, 1, 3)), 16),
        cup=F(rng.choice((0, 0, 1)), 16),
        cost=F(rng.randint(800, 4000), 100),
        defects=tuple(marks),
    )
