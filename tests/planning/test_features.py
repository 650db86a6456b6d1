"""Each thing a job may ask for, on a small job of its own: the plan passes the check and does the thing. Invented data."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F
from itertools import pairwise

from small_jobs import board, job, part

from yieldopt.checking import check
from yieldopt.planning import plan_job
from yieldopt.wood.lumber import Board, Defect, EdgePoint, Job, Kerf, Machines, Part, Pin, Shop
from yieldopt.wood.plan import Piece, Plan

MM = F(10, 254)


# So many that each of these jobs is proven, or has its parts placed for long.
STEPS = 30


def planned(j: Job) -> Plan:
    return plan_job(j, seconds=600, steps=STEPS).plan


def complete(j: Job) -> Plan:
    plan = planned(j)
    assert not check(j, plan)
    assert plan.complete, plan.unplaced
    return plan


def pieces(plan: Plan) -> dict[str, tuple[str, Piece]]:
    return {q.piece: (b.board, q) for b in plan.boards for q in b.pieces}


def test_pin() -> None:
    j = job([part(qty=3)], [board("dear", cost=90), board("cheap")], pins=(Pin("rail#2", "dear", F(17), F(13, 4)),))
    on, q = pieces(complete(j))["rail#2"]
    assert (on, q.x, q.y) == ("dear", 17, F(13, 4))


def test_pin_on_a_defect_is_not_met() -> None:
    mark = Defect("split", "both", F(20), F(3), F(2), F(1))
    j = job([part(qty=2)], [board(defects=(mark,))], pins=(Pin("rail#1", "B", F(18), F(2)),))
    plan = planned(j)
    assert not check(j, plan)
    assert [(u.part, u.qty) for u in plan.unplaced] == [("rail", 1)]


def test_from() -> None:
    j = job([part(sources=("dear",)), part("stile")], [board("dear", cost=90), board("cheap")])
    assert pieces(complete(j))["rail#1"][0] == "dear"


def test_leave() -> None:
    plan = complete(job([part()], [board("cheap", cost=1), board("dear", cost=90)], leave=frozenset({"cheap"})))
    assert [b.board for b in plan.boards] == ["dear"]


def test_the_cheaper_board() -> None:
    assert [b.board for b in complete(job([part(qty=2)], [board("dear", cost=90), board("cheap")])).boards] == ["cheap"]


def test_sawn() -> None:
    j = job([part(sawn="quarter")], [board("flat", sawn="flat", cost=1), board("any", cost=2), board("right", sawn="quarter")])
    assert [b.board for b in complete(j).boards] == ["right"]


def test_board_group() -> None:
    """Four parts that would fit on the short boards two by two, but must share a board."""
    parts = [part(qty=2, match="frame", match_kind="board"), part("stile", 2, match="frame", match_kind="board")]
    short = [board(f"S{n}", 28, cost=5) for n in range(2)]
    plan = complete(job(parts, [*short, board("long", 80, cost=60)]))
    assert {on for on, _ in pieces(plan).values()} == {"long"}


def test_book_pair() -> None:
    door = part("left", width=4, thickness=F(5, 8), match="doors", match_kind="book")
    plan = complete(job([door, replace(door, name="right")], [board(quarters=8, stress="tested")]))
    left, right = (pieces(plan)[n][1] for n in ("left#1", "right#1"))
    assert (left.blank, left.x, left.y, left.hinge, left.show) == (right.blank, right.x, right.y, right.hinge, "sawn")
    assert {left.layer, right.layer} == {1, 2}
    assert [c.kind for c in plan.boards[0].cuts if c.stage == "resaw"] == ["resaw"]


def test_slip() -> None:
    leaf = part("leaf", 3, width=3, thickness=F(1, 4), match="fan", match_kind="slip")
    found = [q for _, q in pieces(complete(job([leaf], [board(quarters=8, stress="tested")]))).values()]
    assert sorted(q.layer for q in found) == [1, 2, 3]
    assert len({q.blank for q in found}) == 1


def test_run() -> None:
    """End to end along one strip, in the order listed from either end, one kerf between."""
    row = [part(n, length=a, match="fronts", match_kind="run") for n, a in (("a", 16), ("b", 12), ("c", 9))]
    plan = complete(job(row, [board(), board("short", 30, cost=1)]))
    found = sorted((q for _, q in pieces(plan).values()), key=lambda q: q.x)
    assert "".join(q.part for q in found) in ("abc", "cba")
    assert len({q.y for q in found}) == 1
    assert all(b.x - a.x - a.length == Kerf().crosscut for a, b in pairwise(found))


def test_staves() -> None:
    """A shelf wider than any board, glued up from staves of several."""
    shelf = part("shelf", width=12, length=24, staves=(F(2), F(5)))
    plan = complete(job([shelf], [board("a", 30), board("b", 30)]))
    found = [q for _, q in pieces(plan).values()]
    assert {q.set for q in found} == {"shelf#1"}
    assert sorted(q.stave for q in found) == list(range(1, len(found) + 1))
    assert sum(q.width - F(1, 4) for q in found) >= F(49, 4)
    assert len(plan.boards) == 2


def test_grain_any_lies_across() -> None:
    """Too long for the board's length along the grain; across it fits."""
    shop = Shop(machines=Machines(min_mill_length=F(5)))
    q = pieces(complete(job([part(width=5, length=8, grain="any")], [board(length=11, width=10)], shop=shop)))["rail#1"][1]
    assert (q.length, q.width) == (6, F(33, 4))


def test_short_parts_are_ganged() -> None:
    """Two of 6 in rough make 12-1/8, too short for 14; three make 18-1/4."""
    plan = complete(job([part("block", 3, length=5)], [board(length=24, width=4)]))
    (blank,) = plan.boards[0].blanks
    assert len(blank.pieces) == 3
    assert blank.length == F(73, 4)


def test_resawn_where_it_saves_a_board() -> None:
    """Two layers from the 8/4 are cheaper than both 4/4."""
    boards = [board("thick", 26, 3, 8, cost=30, stress="tested"), *(board(f"thin{n}", 26, 3, cost=20) for n in range(2))]
    plan = complete(job([part(qty=2)], boards))
    assert [b.board for b in plan.boards] == ["thick"]
    assert {q.layer for _, q in pieces(plan).values()} == {1, 2}


def test_an_untested_board_keeps_its_spare() -> None:
    """Two 3/4 layers need 1-7/8 from a tested board and do not come out of an untested one at 2 in."""
    boards = [board("thick", 26, 3, 8, cost=30), *(board(f"thin{n}", 26, 3, cost=20) for n in range(2))]
    assert [b.board for b in complete(job([part(qty=2)], boards)).boards] == ["thin0", "thin1"]


def test_bow_shortens_what_reaches_the_thickness() -> None:
    """1 in less 3/16 leaves 1/16 over 3/4 for bow; 3/8 over 60 in takes 1/16 off a blank of 24.5 in and more off a longer."""
    j = job([part("long", length=30), part("short", length=18)], [board(bow=F(3, 8))])
    plan = planned(j)
    assert not check(j, plan)
    assert set(pieces(plan)) == {"short#1"}


def test_crook_takes_width_off_long_sections_only() -> None:
    """1 in of crook over 60 in: a strip of 21 in loses 1/8, so two of 2-1/4 with a kerf need 4-3/4 in; of 50 in, 5-5/16."""
    short = [board(width=F(39, 8), length=28, crook=F(1, 8))]
    plan = complete(job([part(qty=2)], short))
    assert len(plan.boards[0].blanks) == 2
    long = job([part(qty=2, length=49)], [board(width=F(41, 8), crook=F(1))])
    assert [u.qty for u in planned(long).unplaced] == [1]


def test_outline() -> None:
    """A tapered board: the wide part lies at its wide end."""
    edges = (EdgePoint(F(0), F(0), F(4)), EdgePoint(F(60), F(0), F(8)))
    q = pieces(complete(job([part(width=6, length=14)], [board(edges=edges)])))["rail#1"][1]
    assert 4 + q.x * 4 / 60 >= q.y + F(25, 4)


def test_defect_is_avoided_or_allowed() -> None:
    mark = Defect("worm", "A", F(0), F(0), F(60), F(4))
    avoided = pieces(complete(job([part()], [board(defects=(mark,))])))["rail#1"][1]
    assert avoided.y >= 4
    allowed = complete(job([part(qty=2, allow=frozenset({"worm"}))], [board(width=5, defects=(mark,))]))
    assert any(q.y < 4 for _, q in pieces(allowed).values())


def test_one_clear_face() -> None:
    """A knot on face A only: a part with one clear face shows B."""
    mark = Defect("knot", "A", F(5), F(1), F(12), F(2))
    plan = complete(job([part(faces=1, width=3)], [board(length=26, width=4, defects=(mark,))]))
    assert pieces(plan)["rail#1"][1].show == "B"


def test_offcut_is_kept() -> None:
    """60 in less two trimmed ends, a rail of 21 in and its kerf: 34-7/8 by 7 in are kept."""
    (b,) = complete(job([part(width=F(27, 4) - F(1, 8))], [board()])).boards
    assert [(o.length, o.width, o.kept) for o in b.offcuts] == [(F(279, 8), F(7), True)]


def test_millimetres() -> None:
    """Odd metric sizes stay exact."""
    rail = Part("rail", 3, "oak", 19 * MM, 47 * MM, 611 * MM)
    plank = Board("B", "oak", "27mm", 27 * MM, 2000 * MM, 173 * MM, 27 * MM, price_m3=F(2400))
    found = [q for _, q in pieces(complete(Job("mm", "mm", (rail,), (plank,)))).values()]
    assert [q.length for q in found] == [611 * MM + 1] * 3


def test_rip_first_where_strips_do_not_share_their_crosscuts() -> None:
    """Two long and three short parts, side by side along the board: no crosscut clears both strips."""
    parts = [part("long", 2, 2, 42), part("short", 3, 2, 27)]
    only = board("B", 92, 5)
    plan = complete(job(parts, [only, board("dear", 92, 5, cost=500)]))
    (cut,) = plan.boards
    assert cut.board == "B"
    middle = [c for c in cut.cuts if c.stage == "rough" and c.start <= 2 and c.end >= 90]
    assert any(c.kind == "rip" for c in middle)
