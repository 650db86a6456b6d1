"""Rough cuts on marks and no slivers: on generated jobs, and each rule on the smallest board that has it. Invented data."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from small_jobs import board, job, part
from strategies import jobs

from yieldopt.checking import check
from yieldopt.planning import plan_job
from yieldopt.planning.finish.marklines import Distances
from yieldopt.sizes.sizing import thickness_need, warp_loss
from yieldopt.wood.lumber import Board, Defect, Job, Machines, Marks
from yieldopt.wood.plan import Blank, BoardPlan, Cut, Plan
from yieldopt.wood.tape import least_strip, mark_of

E8 = F(1, 8)
MM = F(10, 254)


def planned(j: Job) -> Plan:
    plan = plan_job(j, steps=4).plan
    assert [str(f) for f in check(j, plan)] == []
    return plan


def rough(bp: BoardPlan) -> list[Cut]:
    return [c for c in bp.cuts if c.stage == "rough"]


def off(j: Job, plan: Plan) -> list[Cut]:
    mark = mark_of(j)
    return [c for bp in plan.boards for c in rough(bp) if mark and c.at % mark]


# -- the wood beside a cut, reckoned from the plan's own cuts alone ---------------------------------------------------


def on_wood(b: Board, c: Cut) -> bool:
    """Does the line of the cut, the side of its kerf nearer the datum, lie on the board anywhere along its extent?"""
    if c.kind == "crosscut":
        near, far = b.channel(c.at, c.at)
        return 0 <= c.at <= b.length and c.start < far and near < c.end
    stops = sorted({max(c.start, F(0)), min(c.end, b.length), *(p.x for p in b.outline if c.start < p.x < c.end)})
    edges = [b.channel(x, x) for x in stops]
    # Edges are straight between two stops: the line is off the wood all along only where both ends are, on one side.
    return any(not (c.at < n0 and c.at < n1) and not (c.at > f0 and c.at > f1) for (n0, f0), (n1, f1) in pairwise(edges))


def widest(b: Board, x0: F, x1: F) -> tuple[F, F]:
    ends = [b.channel(x, x) for x in (x0, x1)] + [(p.near, p.far) for p in b.outline if x0 < p.x < x1]
    return min(e[0] for e in ends), max(e[1] for e in ends)


def slivers(j: Job, b: Board, bp: BoardPlan, c: Cut) -> bool:
    """Does the cut part off waste narrower than the least strip that all beside its other side could have kept?"""
    rip, kerf = c.kind == "rip", c.kerf
    things = [*bp.blanks, *(o for o in bp.offcuts if o.kept)]
    spans = [(t, (t.x, t.x + t.length), (t.y, t.y + t.width)) for t in things]
    beside = [(t, x, y) if rip else (t, y, x) for t, x, y in spans]
    beside = [(t, o) for t, a, o in beside if a[0] < c.end and c.start < a[1]]
    for high in (False, True):
        here = c.at + kerf if high else c.at
        others = [k for k in rough(bp) if k is not c and k.kind == c.kind and k.start < c.end and c.start < k.end]
        edge = (widest(b, c.start, c.end) if rip else (F(0), b.length))[high]
        edge = (
            min([edge, *(k.at for k in others if k.at >= here)])
            if high
            else max([edge, *(k.at + kerf for k in others if k.at + kerf <= here)])
        )
        if abs(edge - here) >= least_strip(j) or any(o[0] < max(here, edge) and min(here, edge) < o[1] for _, o in beside):
            continue
        mine = [t for t, o in beside if (o[1] == c.at if high else o[0] == c.at + kerf)]
        more = kerf + least_strip(j) + 2 * mark_of(j)
        if mine and all(could_grow(j, b, t, more, rip) for t in mine):
            return True
    return False


def could_grow(j: Job, b: Board, t: object, more: F, rip: bool) -> bool:
    """May a blank be larger by this much on either side, by the rules of docs/reference/checks.md? Offcuts may."""
    if not isinstance(t, Blank):
        return True
    x, length = (t.x, t.length) if rip else (t.x - more, t.length + 2 * more)
    y, width = (t.y - more, t.width + 2 * more) if rip else (t.y, t.width)
    m, trim = j.shop.machines, j.shop.allowances.board_end
    wide = m.planer_width if m.wide_flattening != "none" else min(m.planer_width, m.joint_width)
    wide = min(wide, m.resaw_height) if t.layers > 1 else wide
    thick = thickness_need(t.thicknesses, b.stress == "tested", j.shop) <= b.thickness - warp_loss(b, length, width)
    clear = not any(
        d.kind in ("loose knot", "split") and d.x < x + length and x < d.x + d.length and d.y < y + width and y < d.y + d.width
        for d in b.defects
    )
    ends = rip or (x >= trim and x + length <= b.length - trim)
    # A blank lies within the narrowest place of its stretch, and within what crook leaves; elsewhere the wood has to go.
    return (
        width <= wide
        and thick
        and clear
        and ends
        and not b.edges
        and not b.crook
        and t.pieces[0] not in {q.piece for q in j.pins}
    )


@settings(max_examples=8)
@given(jobs(), st.integers(0, 3))
def test_no_cut_lies_off_the_wood_nor_parts_off_a_sliver(j: Job, seed: int) -> None:
    sound_cuts(j, plan_job(j, steps=3, seed=seed).plan)


@pytest.mark.long
@settings(max_examples=150, derandomize=False)
@given(jobs(most_boards=6), st.integers(0, 3))
def test_no_cut_lies_off_the_wood_nor_parts_off_a_sliver_on_larger_jobs(j: Job, seed: int) -> None:
    sound_cuts(j, plan_job(j, steps=8, seed=seed).plan)


def sound_cuts(j: Job, plan: Plan) -> None:
    assert [str(f) for f in check(j, plan)] == []
    for bp in plan.boards:
        b = j.board_named[bp.board]
        for c in rough(bp):
            assert on_wood(b, c), (bp.board, c)
            assert not slivers(j, b, bp, c), (bp.board, c)


@settings(max_examples=8)
@given(jobs())
def test_marks_cost_nothing_and_move_no_pin(j: Job) -> None:
    """The same search with and without marks: the same pieces at the same cost, and pinned ones where the pin says."""
    exact = replace(j, shop=replace(j.shop, marks=Marks(F(0), F(0))))
    with_marks, without = plan_job(j, steps=3).plan, plan_job(exact, steps=3).plan
    assert with_marks.totals.net_cost == pytest.approx(without.totals.net_cost, abs=1e-6)
    assert with_marks.totals.bound == without.totals.bound
    assert {p.piece for _, p in with_marks.pieces()} == {p.piece for _, p in without.pieces()}
    assert len(off(j, with_marks)) <= len(off(j, without))
    pins = {q.piece: (q.x, q.y) for q in j.pins}
    for _, p in with_marks.pieces():
        assert pins.get(p.piece, (p.x, p.y)) == (p.x, p.y)


# -- by hand ----------------------------------------------------------------------------------------------------------


def test_parts_in_sixty_fourths_are_cut_on_eighths() -> None:
    """Three sections of 20 27/64 in 70 of usable length: rounding each up to an eighth still fits."""
    j = job([part(qty=3, length=F(19) + F(27, 64), width=F(5) + F(11, 64))], [board(length=72, width=F(13, 2))])
    plan = planned(j)
    assert plan.complete
    assert off(j, plan) == []
    exact = replace(j, shop=replace(j.shop, marks=Marks(mark=F(0))))
    assert off(j, planned(exact)) != []


def test_what_the_wood_does_not_allow_stays_exact() -> None:
    """Three blanks of 22 19/24 and two kerfs between the trimmed ends fill the board to the last: only the outer cuts can lie
    on eighths."""
    each = (F(70) - 2 - 2 * E8) / 3
    j = job([part(qty=3, length=each - 1, width=F(5))], [board(length=70 + 2, width=F(21, 4))])
    plan = planned(j)
    assert plan.complete
    (bp,) = plan.boards
    across = [c.at for c in rough(bp) if c.kind == "crosscut"]
    assert across == [F(15, 8), 2 + each, 2 + 2 * each + E8, F(70)]


def test_millimetres_lie_on_whole_ones() -> None:
    b = replace(board(length=1800 * MM, width=150 * MM), thickness=F(1))
    p = replace(part(qty=3), length=F(4021, 10) * MM, width=F(1003, 10) * MM, thickness=F(3, 4))
    plan = planned(replace(job([p], [b]), units="mm"))
    assert plan.complete
    assert [c for bp in plan.boards for c in rough(bp) if (c.at / MM).denominator != 1] == []


def narrow_waste(waste: F, machines: Machines | None = None, **more: object) -> tuple[Job, BoardPlan]:
    """A blank 5 wide, on a board with `waste` beyond it and the kerf."""
    j = job([part(length=F(30), width=F(19, 4))], [replace(board(length=40, width=5 + E8 + waste), **more)])  # type: ignore[arg-type]
    if machines is not None:
        j = replace(j, shop=replace(j.shop, machines=machines))
    (bp,) = planned(j).boards
    return j, bp


def test_a_sliver_is_not_ripped_off_and_the_blank_takes_it() -> None:
    _, bp = narrow_waste(F(1, 16))
    assert [c.kind for c in rough(bp)] == ["crosscut", "crosscut"]
    assert (bp.blanks[0].y, bp.blanks[0].width) == (0, 5 + E8 + F(1, 16))
    assert bp.pieces[0].width == 5
    _, wide = narrow_waste(F(1))
    assert [c.kind for c in rough(wide)] == ["crosscut", "crosscut", "rip"]
    assert wide.blanks[0].width == 5


def test_the_least_strip_is_a_setting() -> None:
    j, bp = narrow_waste(F(1))
    j = replace(j, shop=replace(j.shop, marks=Marks(least_strip=F(5, 4))))
    (bp,) = planned(j).boards
    assert bp.blanks[0].width == 6 + E8


def test_a_blank_as_wide_as_the_planer_keeps_its_cut() -> None:
    """1/16 of waste would make it wider than the planer: the rip stays, as there is no other way to get it through."""
    _, bp = narrow_waste(F(1, 16), Machines(planer_width=F(5)))
    assert [c.at for c in rough(bp) if c.kind == "rip"] == [5]
    assert bp.blanks[0].width == 5


def test_a_blank_at_its_last_thickness_keeps_its_cut() -> None:
    """Cup over 5 of 5 3/16 leaves exactly what the part needs; over the whole width it would not."""
    need = F(3, 4) + 2 * F(3, 32)
    width = 5 + E8 + F(1, 16)
    _, bp = narrow_waste(F(1, 16), cup=(1 - need) * (width / 5) ** 2, thickness=F(1))
    assert bp.blanks[0].width == 5
    assert [c.at for c in rough(bp) if c.kind == "rip"] == [5]


def test_a_sliver_with_a_split_is_ripped_off() -> None:
    """A split may not lie in a blank at all."""
    split = Defect("split", "both", F(20), 5 + E8, F(1), F(1, 16))
    _, bp = narrow_waste(F(3, 16), defects=(split,))
    assert [c.kind for c in rough(bp)].count("rip") == 1


def test_pieces_stay_clear_of_defects() -> None:
    """A streak ends where the first blank of three begins; on the next mark back it would lie in the piece."""
    streak = Defect("streak", "both", F(2) + F(1, 64), F(0), F(1), F(6))
    j = job([part(qty=2, length=F(19) + F(27, 64), width=F(5))], [replace(board(length=72, width=F(6)), defects=(streak,))])
    plan = planned(j)
    assert plan.complete
    assert all(p.x >= F(3) + F(1, 64) for _, p in plan.pieces())


# -- the system of differences ----------------------------------------------------------------------------------------


@given(st.data())
def test_as_many_as_can_be_lie_on_marks(data: st.DataObject) -> None:
    """On small systems, against every choice of multiples: if all can lie on marks, all do; all distances are kept. The unit
    may be so fine that a board is some 10^31 of them long: a board's figures share no coarser one."""
    n, mark = data.draw(st.integers(1, 4)), data.draw(st.integers(2, 5))
    fine = data.draw(st.sampled_from([1, 10**15, 10**30]))
    now = sorted(data.draw(st.lists(st.integers(0, 20), min_size=n, max_size=n)))
    d = Distances([fine * at for at in now])
    points = [0, *now]
    asked = []
    for _ in range(data.draw(st.integers(0, 8))):
        i, j = data.draw(st.integers(0, n)), data.draw(st.integers(0, n))
        if i != j:
            w = points[j] - points[i] - data.draw(st.integers(0, 4))
            asked.append((i, j, w))
            d.apart(i, j, fine * w)
    settled = d.settled(fine * mark)
    assert all(at % fine == 0 for at in settled)
    found = [0, *(at // fine for at in settled)]
    assert all(found[j] >= found[i] + w for i, j, w in asked)
    marks = range(-mark * 10, mark * 12, mark)

    def all_fit(placed: list[int]) -> bool:
        if len(placed) == n + 1:
            return True
        v = len(placed)
        for at in marks:
            here = [*placed, at]
            if all(here[j] >= here[i] + w for i, j, w in asked if max(i, j) == v) and all_fit(here):
                return True
        return False

    if all_fit([0]):
        assert all(p % mark == 0 for p in found)
