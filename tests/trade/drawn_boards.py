"""Measured boards with outlines and defects, drawn at random."""

from fractions import Fraction as F

from hypothesis import strategies as st

from yieldopt.wood.lumber import Board, Defect, EdgePoint

points = st.tuples(st.integers(-8, 8), st.integers(-8, 8))


@st.composite
def real_boards(draw):
    length = F(draw(st.integers(48 * 4, 192 * 4)), 4)
    width = F(draw(st.integers(3 * 8, 14 * 8)), 8)
    edges = []
    if draw(st.booleans()):
        for i in range(draw(st.integers(2, 4))):
            near, far = draw(points)
            edges.append(EdgePoint(length * i / 4, F(near, 8), width + F(far, 8)))
    defects = []
    for _ in range(draw(st.integers(0, 9))):
        x, y = F(draw(st.integers(0, int(length) - 1))), F(draw(st.integers(0, int(width * 4) - 1)), 4)
        defects.append(
            Defect(
                draw(st.sampled_from(["knot", "check", "wane", "sapwood", "stain", "worm", "split"])),
                draw(st.sampled_from(["A", "B", "both"])),
                x,
                y,
                F(draw(st.integers(1, 30))),
                F(draw(st.integers(1, 8)), 4),
            )
        )
    return Board("B", "ash", "4/4", F(1), length, width, F(1), defects=tuple(defects), edges=tuple(edges))
