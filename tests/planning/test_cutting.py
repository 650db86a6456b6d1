"""The cuts that part a board's rectangles, followed by a saw that knows only regions and kerfs."""

from __future__ import annotations

from fractions import Fraction as F

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yieldopt.planning.finish.cutting import Parted, Sawn, part_cuts
from yieldopt.wood.rectangles import Rect

CROSSCUT, RIP = F(1, 8), F(3, 16)
LEAST = F(1)


@st.composite
def guillotine(draw: st.DrawFn, r: Rect, depth: int) -> list[Rect]:
    """Rectangles that through-cuts made, some of them smaller than what the cuts left."""
    way = draw(st.sampled_from(["along", "across", "leaf"])) if depth else "leaf"
    if way == "across" and r.length > 2 * LEAST + CROSSCUT:
        at = draw(st.integers(4, int((r.length - LEAST - CROSSCUT) * 4))) * F(1, 4)
        rest = Rect(r.x + at + CROSSCUT, r.y, r.length - at - CROSSCUT, r.width)
        return draw(guillotine(Rect(r.x, r.y, at, r.width), depth - 1)) + draw(guillotine(rest, depth - 1))
    if way == "along" and r.width > 2 * LEAST + RIP:
        at = draw(st.integers(4, int((r.width - LEAST - RIP) * 4))) * F(1, 4)
        rest = Rect(r.x, r.y + at + RIP, r.length, r.width - at - RIP)
        return draw(guillotine(Rect(r.x, r.y, r.length, at), depth - 1)) + draw(guillotine(rest, depth - 1))
    if draw(st.integers(0, 5)) == 0:
        return []
    less = st.sampled_from([F(0), F(1, 16), F(1, 8), F(1, 4), F(1, 2)])
    a, b = draw(less), draw(less)
    c, d = draw(st.sampled_from([F(0), a])), draw(st.sampled_from([F(0), b]))
    return [Rect(r.x + c, r.y + d, r.length - a, r.width - b)]


def saw(whole: Parted, cuts: list[Sawn]) -> list[Parted]:
    """What the cuts leave, each through one region from side to side."""
    regions = [whole]
    for cut in cuts:
        kerf = CROSSCUT if cut.kind == "crosscut" else RIP
        hit = []
        for r in regions:
            across = (r.x0, r.x1, r.y0, r.y1) if cut.kind == "crosscut" else (r.y0, r.y1, r.x0, r.x1)
            if across[0] <= cut.at and cut.at + kerf <= across[1] and (across[2], across[3]) == (cut.start, cut.end):
                hit.append(r)
        assert len(hit) == 1, cut
        (r,) = hit
        regions.remove(r)
        if cut.kind == "crosscut":
            regions += [Parted(r.x0, cut.at, r.y0, r.y1), Parted(cut.at + kerf, r.x1, r.y0, r.y1)]
        else:
            regions += [Parted(r.x0, r.x1, r.y0, cut.at), Parted(r.x0, r.x1, cut.at + kerf, r.y1)]
    return regions


def inside(r: Rect, g: Parted) -> bool:
    assert g.y0 is not None
    assert g.y1 is not None
    return g.x0 <= r.x and r.x + r.length <= g.x1 and g.y0 <= r.y and r.y + r.width <= g.y1


def whole(length: int, width: int) -> Parted:
    return Parted(F(0), F(length), F(0), F(width))


@given(guillotine(Rect(F(0), F(0), F(40), F(12)), 5), st.sampled_from(["crosscut", "rip"]))
def test_every_rectangle_ends_alone(rects: list[Rect], first: str) -> None:
    cuts = part_cuts(whole(40, 12), rects, first, CROSSCUT, RIP, lambda _a, _b: (F(0), F(12)))  # type: ignore[arg-type]
    regions = saw(whole(40, 12), cuts)
    for r in rects:
        (home,) = [g for g in regions if inside(r, g)]
        assert [q for q in rects if inside(q, home)] == [r]
        # Less than a kerf of waste is left at any side: another cut would not fit.
        assert r.x - home.x0 < CROSSCUT
        assert home.x1 - r.x - r.length < CROSSCUT
        assert r.y - home.y0 < RIP
        assert home.y1 - r.y - r.width < RIP


def test_a_pinwheel_cannot_be_sawn() -> None:
    """Four rectangles round a hole: the textbook case without a through-cut."""
    corners = ((0, 0, 6, 3), (7, 0, 3, 6), (4, 7, 6, 3), (0, 4, 3, 6))
    rects = [Rect(F(x), F(y), F(length), F(width)) for x, y, length, width in corners]
    with pytest.raises(ValueError, match="no through-cut"):
        part_cuts(whole(10, 10), rects, "crosscut", F(1, 8), F(1, 8), lambda _a, _b: (F(0), F(10)))
