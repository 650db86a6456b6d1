"""What staves keep for flattening the glued panel: the most that all staves of it can have, the same on all.

1/16 over the finished top is a magazine maker's figure (https://www.woodcraft.com/blogs/shop-knowledge-guides/perfect-flat-panel-glue-ups);
the limit of 1/4 is the file format's. Jobs and boards here are invented.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import jobs

from yieldopt.checking import check
from yieldopt.insight.slack import blank_slacks
from yieldopt.planning import plan_job
from yieldopt.sizes.glue_up import left_on, thickened
from yieldopt.sizes.sizing import resaw_depths
from yieldopt.wood.lumber import Allowances, Board, Job, Part, Shop
from yieldopt.wood.plan import BoardPlan


def board(name: str, thickness: F, width: int = 12, length: int = 30, **more: object) -> Board:
    return Board(name, "ash", "8/4", F(2), F(length), F(width), thickness, cost=F(20), **more)  # type: ignore[arg-type]


def job(*boards: Board, parts: tuple[Part, ...] | None = None, **allowances: F) -> Job:
    top = Part("top", 1, "ash", F(3, 4), F(20), F(24), staves=(F(3), F(11)))
    return Job("table", "in", parts or (top,), boards, Shop(Allowances(**allowances)))


def left(job: Job, **more: object) -> tuple[dict[str, F], tuple[BoardPlan, ...]]:
    plan = plan_job(job, seconds=90, steps=40).plan
    assert check(job, plan) == ()
    return left_on(plan.pieces(), job), plan.boards


@pytest.mark.parametrize(
    ("spare", "setting", "gets"),
    [
        # 3/4 and two rough faces are 15/16: what the thinner of the two boards has over that, up to the setting.
        (F(1, 2), F(1, 16), F(1, 16)),
        (F(1, 32), F(1, 16), F(1, 32)),
        (F(0), F(1, 16), F(0)),
        (F(1, 2), F(1, 4), F(1, 4)),
        (F(1, 2), F(0), F(0)),
        # A planer is set to a sixty-fourth.
        (F(3, 128), F(1, 16), F(1, 64)),
    ],
)
def test_a_panel_gets_what_its_thinnest_board_has(spare: F, setting: F, gets: F) -> None:
    made = job(board("thick", F(2)), board("thin", F(15, 16) + spare), glue_up=setting)
    found, boards = left(made)
    assert found == {"top#1": gets}
    assert len(boards) == 2
    for b in boards:
        assert {t for k in b.blanks for t in k.thicknesses} == {F(3, 4) + gets}
        assert {p.thickness for p in b.pieces} == {F(3, 4) + gets}


def test_warp_counts_against_it() -> None:
    flat, _ = left(job(board("one", F(1)), board("two", F(1))))
    bowed, _ = left(job(board("one", F(1)), board("two", F(1), bow=F(1, 16))))
    # 1/16 x (25/30)^2 = 0.0434: of the 1/16 over 15/16 a sixty-fourth is left.
    assert (flat, bowed) == ({"top#1": F(1, 16)}, {"top#1": F(1, 64)})


def test_resawn_staves_share_what_their_blank_has_and_their_cuts_move_with_it() -> None:
    """Two 3/4 layers from a tested board need 1 7/8: a board of 2 has 1/8 over, 1/16 for each layer."""
    shelf = Part("shelf", 1, "ash", F(3, 4), F(18), F(24), staves=(F(9), F(10)))
    made = job(board("one", F(2), width=10, stress="tested"), parts=(shelf,), glue_up=F(1, 4))
    found, (only,) = left(made)
    (blank,) = only.blanks
    assert blank.thicknesses == (F(13, 16), F(13, 16))
    assert found == {"shelf#1": F(1, 16)}
    assert [c.at for c in only.cuts if c.stage == "resaw"] == list(resaw_depths(blank.thicknesses, True, made.shop))
    # It can be lost, so it is still to spare.
    assert [s.spare for s in blank_slacks(made, plan_job(made, seconds=90, steps=40).plan)] == [F(1, 8)]


def test_a_panel_in_one_piece_and_other_parts_keep_their_thickness() -> None:
    rail = Part("rail", 2, "ash", F(3, 4), F(3), F(24))
    whole = Part("shelf", 1, "ash", F(3, 4), F(8), F(24), staves=(F(2), F(9)))
    _, boards = left(job(board("one", F(2), length=60), parts=(rail, whole)))
    for b in boards:
        for p in b.pieces:
            assert (p.thickness > F(3, 4)) == (p.stave is not None)


def test_what_is_demanded_rules_thin_boards_out() -> None:
    thin, thick = board("thin", F(31, 32), width=24), replace(board("thick", F(2), width=24), cost=F(90))
    _, cheap = left(job(thin, thick, parts=(Part("top", 1, "ash", F(3, 4), F(20), F(24), staves=(F(3), F(11))),)))
    found, dear = left(job(thin, thick, glue_up=F(1, 16), glue_up_least=F(1, 16)))
    assert [b.board for b in cheap] == ["thin"]
    assert [b.board for b in dear] == ["thick"]
    assert found == {"top#1": F(1, 16)}


def test_millimetre_jobs_get_half_millimetres() -> None:
    found, _ = left(replace(job(board("one", F(2)), board("two", F(2))), units="mm"))
    assert found == {"top#1": F(15, 254)}


def test_a_blank_that_is_begun_stays_as_it_is_and_the_rest_of_its_panel_with_it() -> None:
    made = job(board("one", F(2)), board("two", F(2)))
    _, boards = left(made)
    first, second = boards
    flat = replace(
        first,
        blanks=tuple(replace(b, thicknesses=(F(49, 64),)) for b in first.blanks),
        pieces=tuple(replace(p, thickness=F(49, 64), state="done") for p in first.pieces),
    )
    again = thickened(made, (flat, second))
    assert again[0] == flat
    assert {t for b in again[1].blanks for t in b.thicknesses} == {F(49, 64)}
    thinner = thickened(made, boards, lambda b, _: F(31, 32) if b.name == "two" else b.thickness)
    assert {t for e in thinner for b in e.blanks for t in b.thicknesses} == {F(3, 4) + F(1, 32)}


@given(jobs(pins=False, most_boards=4, most_rows=3), st.integers(0, 3))
def test_all_staves_of_a_panel_get_the_same_and_nothing_more_could_be_had(job: Job, seed: int) -> None:
    plan = plan_job(job, seconds=90, steps=6, seed=seed).plan
    assert check(job, plan) == ()
    a = job.shop.allowances
    thick: dict[str, set[F]] = {}
    for _, p in plan.pieces():
        if p.stave is not None and p.set is not None:
            thick.setdefault(p.piece.rpartition("/")[0], set()).add(p.thickness)
    for panel, milled in thick.items():
        part = job.part_named[panel[: panel.rfind("#")]]
        (one,) = milled
        assert part.thickness + a.glue_up_least <= one <= part.thickness + a.glue_up
    # Once more changes nothing.
    assert thickened(job, plan.boards) == plan.boards
