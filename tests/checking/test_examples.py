"""The written rules by figures worked out by hand, and the states a plan goes through in the shop."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F

from breaking import on_board, pieces, tiny, with_board, with_defect, with_part
from workshop import JOB, plan_of

from yieldopt.checking import check
from yieldopt.checking.blanks import thickness_left, thickness_needed
from yieldopt.checking.context import Context
from yieldopt.checking.cuts import resaw_depths
from yieldopt.checking.view import View
from yieldopt.wood.lumber import Board, Job
from yieldopt.wood.plan import Blank, BoardPlan, Plan, Spoiled

BOARD = Board("b", "elm", "8/4", F(2), F(96), F(8), F(2))


def of(board: Board, *thicknesses: F, length: F = F(24), width: F = F(4)) -> tuple[Context, View, Blank]:
    blank = Blank("b-1", F(2), F(0), length, width, len(thicknesses), thicknesses, ())
    job = Job("j", "in", (), (board,))
    context = Context(job, replace(plan_of(0), boards=(BoardPlan("b", F(0), F(0), blanks=(blank,)),)))
    return context, context.views[0], blank


def test_thickness_of_resawn_blanks() -> None:
    """Two 3/4 layers: 1 1/2 + two rough faces of 3/32 + kerf 1/16 + two sawn faces of 1/16 = 1 7/8; 1/4 more untested."""
    tested = replace(BOARD, stress="tested")
    assert thickness_needed(*of(tested, F(3, 4), F(3, 4))) == F(15, 8)
    assert thickness_needed(*of(BOARD, F(3, 4), F(3, 4))) == F(17, 8)
    assert thickness_needed(*of(BOARD, F(5, 8), F(5, 8))) == F(15, 8)
    assert thickness_needed(*of(BOARD, F(3, 4))) == F(15, 16)


def test_thickness_left_by_warp() -> None:
    """A quarter of the length keeps a sixteenth of the bow; half the width a quarter of the cup; twist by both, halved."""
    bowed = replace(BOARD, bow=F(1, 2), cup=F(1, 8), twist=F(1, 4))
    _, view, blank = of(bowed, F(1))
    assert thickness_left(view, blank) == 2 - F(1, 32) - F(1, 32) - F(1, 64)


def test_resaw_depths() -> None:
    """Below the flattened face: the layer, 1/16 to clean the sawn face, 1/8 to spare, then kerf and the next sawn face."""
    assert resaw_depths(*of(replace(BOARD, stress="tested"), F(5, 8), F(1, 2), F(1, 4))) == [F(11, 16), F(11, 16) + F(11, 16)]
    assert resaw_depths(*of(BOARD, F(5, 8), F(5, 8))) == [F(13, 16)]


def test_a_loose_knot_found_later_excuses_what_is_done() -> None:
    plan = plan_of(0)
    b, p, part = next(pieces(JOB, plan, None))
    worse = with_part(with_defect(JOB, b.board, tiny("split", p)), part, allow=frozenset())
    assert {310, 501} <= {f.code for f in check(worse, plan)}
    done = on_board(plan, b, pieces=tuple(replace(q, state="done") if q.blank == p.blank else q for q in b.pieces))
    assert check(worse, done) == ()


def test_cuts_done_in_their_order_are_fine() -> None:
    plan = plan_of(0)
    for upto in (1, 3, 100):
        boards = tuple(
            replace(b, cuts=tuple(replace(c, state="done") if c.order <= upto else c for c in b.cuts)) for b in plan.boards
        )
        assert check(JOB, replace(plan, boards=boards)) == ()


def test_a_spoiled_piece_keeps_its_place() -> None:
    """Its wood is spent: nothing else may lie there, and its layer is not empty."""
    for seed in range(20):
        plan = plan_of(seed)
        b, p, part = next(pieces(JOB, plan, None))
        if p.stave is not None:
            continue
        lost = Spoiled(p.piece, p.x, p.y, p.length, p.width, p.layer, p.layers)
        listed = tuple(replace(k, pieces=tuple(n for n in k.pieces if n != p.piece)) for k in b.blanks)
        spent = on_board(plan, b, pieces=tuple(q for q in b.pieces if q is not p), blanks=listed, spoiled=(lost,))
        found = {f.code for f in check(JOB, spent)}
        # The piece is missing now, and nothing else is wrong.
        assert found == {109, 816}, part.name
        over = on_board(plan, b, spoiled=(lost,))
        assert 204 in {f.code for f in check(JOB, over)}
        return
    raise AssertionError("no plain piece in any plan")


def test_findings_say_all_there_is_to_know() -> None:
    plan: Plan = plan_of(0)
    board = JOB.board_named[plan.boards[0].board]
    thin = with_board(JOB, board, thickness=F(1, 2))
    finding = check(thin, plan)[0]
    assert (finding.code, finding.board) == (308, board.name)
    assert finding.place in str(finding)
    assert finding.found in str(finding)
    assert finding.allowed in str(finding)
