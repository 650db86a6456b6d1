"""Slack, leftovers, second choice and milling order on a board small enough to do by hand."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F

import pytest

from yieldopt.drawing.packet.packet import draw_packet
from yieldopt.insight.leftovers import regions, wood_account
from yieldopt.insight.milling_order import batches, glue_ups, matched_sets, stop_settings
from yieldopt.insight.resaw_worth import minutes, resaw_worths
from yieldopt.insight.second_choice import from_plan, second_choices, summary, with_second_choices
from yieldopt.insight.slack import AT_RISK, slacks
from yieldopt.records.planfile import from_json, to_json
from yieldopt.wood.lumber import Board, Defect, Job, Part, PriceLine
from yieldopt.wood.plan import Blank, BoardPlan, Cut, Offcut, Piece, Plan, Section, Totals

# 60 x 8 of 4/4, 1 in thick. End trims of 2; a section of 31 with a blank of 31 x 4, the rest waste 31 x 3 7/8; beyond it a
# kept offcut of 24 3/4 x 8 (33 1/8 to 57 7/8), then the trim's kerf to 58.
BOARD = Board("B", "ash", "4/4", F(1), F(60), F(8), F(1), bow=F(1, 2), twist=F(1, 8), cost=F(48))
RAIL = Part("rail", 1, "ash", F(3, 4), F(15, 4), F(30), 2)
CUTS = (
    Cut(1, "rough", "crosscut", F(15, 8), F(0), F(8), F(1, 8)),
    Cut(2, "rough", "crosscut", F(33), F(0), F(8), F(1, 8)),
    Cut(3, "rough", "crosscut", F(463, 8), F(0), F(8), F(1, 8)),
    Cut(4, "rough", "rip", F(4), F(2), F(33), F(1, 8)),
)
PLAN = BoardPlan(
    "B", F(48), F(0), CUTS,
    (Blank("B-a", F(2), F(0), F(31), F(4), 1, (F(3, 4),), ("rail#1",)),),
    (Piece("rail#1", "rail", "B-a", F(2), F(0), F(31), F(4), 1, 1, F(3, 4), show="A"),),
    (Offcut("B-o1", F(265, 8), F(0), F(99, 4), F(8)),),
)  # fmt: skip


def _job(board: Board = BOARD, *more: Board, parts: tuple[Part, ...] = (RAIL,)) -> Job:
    return Job("j", "in", parts, (board, *more))


def _plan(bp: BoardPlan = PLAN, *sections: Section) -> Plan:
    return Plan("j", "in", (bp,), (), Totals(48.0, None, None, 0.5, 1, 0.0), sections=sections)


def test_slack_by_hand() -> None:
    blanks, pieces = slacks(_job(), _plan())
    # Needs 3/4 + 2 x 3/32; warp takes 1/2 x (31/60)^2 + 1/8 x (31/60) x (4/8) / 2.
    assert blanks[0].need == F(15, 16)
    assert blanks[0].warp == F(1, 2) * F(31, 60) ** 2 + F(1, 8) * F(31, 60) * F(1, 2) / 2
    assert blanks[0].spare == 1 - blanks[0].warp - F(15, 16)
    assert blanks[0].at_risk
    assert (pieces[0].length, pieces[0].width) == (F(0), F(0))
    assert pieces[0].thickness == blanks[0].spare
    thicker, _ = slacks(_job(replace(BOARD, thickness=F(5, 4))), _plan())
    assert not thicker[0].at_risk
    assert thicker[0].spare - blanks[0].spare == F(1, 4) > AT_RISK


def test_width_to_spare_of_a_glue_up_is_that_of_all_its_staves() -> None:
    # Needs 6 + 2 x 1/8 net; two staves of 4 rough give 2 x (4 - 2 x 1/8) = 7 1/2.
    top = Part("top", 1, "ash", F(3, 4), F(6), F(30), staves=(F(2), F(5)))
    staves = tuple(Piece(f"top#1/{j}", "top", "B-a", F(2), F(0), F(31), F(4), 1, 1, F(3, 4), set="top", stave=j) for j in (1, 2))
    _, pieces = slacks(_job(parts=(top,)), _plan(replace(PLAN, pieces=staves)))
    assert [p.width for p in pieces] == [F(5, 4), F(5, 4)]


def test_regions_by_hand() -> None:
    found = [(r.holds, r.x, r.y, r.length, r.width) for r in regions(BOARD, PLAN, _job())]
    assert found == [
        ("trim", F(0), F(0), F(15, 8), F(8)),
        ("blank", F(2), F(0), F(31), F(4)),
        ("waste", F(2), F(33, 8), F(31), F(31, 8)),
        ("offcut", F(265, 8), F(0), F(99, 4), F(8)),
        ("trim", F(58), F(0), F(2), F(8)),
    ]


def test_wood_account_by_hand_adds_up_to_the_board() -> None:
    board = replace(
        BOARD,
        defects=(
            Defect("check", "A", F(10), F(5), F(4), F(1)),
            Defect("worm", "B", F(12), F(5), F(4), F(1)),
            Defect("knot", "A", F(20), F(5), F(1), F(1)),
        ),
    )
    a = wood_account(board, PLAN, _job(board), regions(board, PLAN, _job(board)))
    assert a.parts == F(30) * F(15, 4) * F(3, 4)
    assert a.shavings == 31 * 4 - a.parts
    assert a.kept == F(99, 4) * 8
    assert a.kerf == 3 * F(1, 8) * 8 + F(1, 8) * 31
    assert a.trim == F(15, 8) * 8 + 2 * 8
    # Two rectangles over 6 in of length count once; the sound knot is no loss.
    assert a.defects == 6
    assert a.parts + a.shavings + a.kept + a.kerf + a.trim + a.defects + a.waste == 480
    assert a.waste == 31 * F(31, 8) - 6


def test_second_choice_takes_kept_offcuts_then_waste_then_uncut_boards_and_minds_defects() -> None:
    flat = replace(BOARD, bow=F(0), twist=F(0))
    other = replace(flat, name="C", defects=(Defect("check", "A", F(2), F(0), F(1), F(8)),))
    job = _job(flat, other, replace(flat, name="D", species="oak"), replace(flat, name="E"))
    job = replace(job, leave=frozenset({"E"}))
    choices = second_choices(job, _plan(), {"B": regions(flat, PLAN, job)})["rail#1"]
    # The offcut is 24 3/4 long and the waste 3 7/8 wide: too small for 31 x 4. C is clear from x = 3.
    assert [(c.board, c.wood, c.x, c.y) for c in choices] == [("C", "uncut board", F(3), F(0))]
    # Beside it 23 7/8 x 8 is kept; the long rectangle above holds the check. 48 / 480 in of area, 0.6 of it credited.
    assert choices[0].cost == 48 - F(191, 8) * 8 * F(48, 480) * F(3, 5)
    small = replace(RAIL, length=F(20), width=F(3))
    job = replace(job, parts=(small,))
    choices = second_choices(job, _plan(), {"B": regions(flat, PLAN, job)})["rail#1"]
    assert [(c.board, c.wood) for c in choices] == [("B", "kept offcut B-o1"), ("B", "waste")]
    # Of the offcut 24 3/4 x 4 5/8 stays; waste earns nothing.
    assert [c.cost for c in choices] == [F(99, 4) * (8 - F(37, 8)) * F(48, 480) * F(3, 5), 0]


def test_second_choices_of_another_program_come_first_and_those_of_strangers_are_passed_over() -> None:
    choices = [
        {"piece": "nobody", "board": "C", "x": 1, "y": 1},
        {"piece": "rail#1", "board": "C", "x": 4.5, "y": 0.25, "layer": 1, "cost": 2.0},
    ]
    plan = from_json({**to_json(_plan()), "second_choices": choices})
    found = second_choices(_job(), plan, {"B": ()})["rail#1"]
    assert [(c.board, c.x, c.y, c.length, c.cost) for c in found] == [("C", F(9, 2), F(1, 4), F(31), F(2))]


def _two(part: Part, **more: object) -> Plan:
    """Two members of one set in blank B-a, side by side in layers or end to end, as `more` says."""
    first = replace(PLAN.pieces[0], part=part.name, set="m", **more)
    if part.match_kind == "run":
        second = replace(first, piece="rail#2", x=F(18), length=F(15))
        first = replace(first, length=F(127, 8))
    else:
        second = replace(first, piece="rail#2", layer=2)
    return _plan(replace(PLAN, pieces=(first, second)))


def test_a_run_or_pair_moves_whole_and_a_stave_alone() -> None:
    flat = replace(BOARD, bow=F(0), twist=F(0))
    thick = replace(flat, name="C", quarters="8/4", nominal=F(2), thickness=F(2), datum_sound=True, stress="tested")
    run = replace(RAIL, qty=2, length=F(14), match="m", match_kind="run")
    found = second_choices(_job(flat, thick, parts=(run,)), _two(run), {"B": ()})
    assert {(c.board, c.length, c.width, c.together) for cs in found.values() for c in cs} == {
        ("C", F(31), F(4), ("rail#1", "rail#2"))
    }
    assert set(found) == {"rail#1", "rail#2"}
    # Two 3/4 layers need 1 7/8 of a tested board, 2 1/8 of one that is not.
    book = replace(run, length=F(30), match_kind="book")
    found = second_choices(_job(flat, thick, parts=(book,)), _two(book, layers=2, show="sawn"), {"B": ()})
    assert [(c.board, c.together) for c in found["rail#1"]] == [("C", ("rail#1", "rail#2"))]
    for other in (replace(thick, stress="unknown"), replace(thick, stress="no resaw")):
        assert not any(second_choices(_job(flat, other, parts=(book,)), _two(book, layers=2, show="sawn"), {"B": ()}).values())
    # A stave keeps the width it has, and may come from any board.
    top = replace(RAIL, width=F(12), staves=(F(2), F(6)))
    found = second_choices(_job(flat, thick, parts=(top,)), _two(top, stave=1), {"B": ()})
    assert [(c.board, c.width, c.together) for c in found["rail#1"]] == [("C", F(4), ())]


def test_a_colour_group_stays_on_its_board() -> None:
    flat = replace(BOARD, bow=F(0), twist=F(0))
    part = replace(RAIL, length=F(20), width=F(3), match="m", match_kind="board")
    job = _job(flat, replace(flat, name="C"), parts=(part,))
    assert {c.board for c in second_choices(job, _plan(), {"B": ()})["rail#1"]} == set()
    assert {c.board for c in second_choices(job, _plan(), {"B": regions(flat, PLAN, job)})["rail#1"]} == {"B"}


def test_parts_clear_on_both_faces_are_show_parts_too() -> None:
    """A plan names no show face for them: either may show, so they were taken for parts that show none."""
    flat = replace(BOARD, bow=F(0), twist=F(0))
    job = _job(flat, replace(flat, name="C"), parts=(replace(RAIL, faces=2),))
    plan = _plan(replace(PLAN, pieces=(replace(PLAN.pieces[0], show=None),)))
    assert summary(job, plan) == "1 of 1 show pieces have a second choice, should the first open badly"
    sheet = draw_packet(job, plan).sheets["B"]
    words = [t.text for page in sheet for t in page.texts()]
    assert "both" in words
    assert "either" not in words
    hidden = replace(job, parts=(replace(RAIL, faces=0),))
    assert summary(hidden, plan) == "no piece has to show a clear face"


def test_our_own_second_choices_in_the_file_are_found_anew() -> None:
    flat = replace(BOARD, bow=F(0), twist=F(0))
    job = _job(flat, replace(flat, name="C"))
    written = with_second_choices(job, _plan())
    assert [(c.board, c.x, c.length, c.wood) for c in from_plan(written)] == [("C", F(2), F(31), "uncut board")]
    assert summary(job, written) == "1 of 1 show pieces have a second choice, should the first open badly"
    spoiled = _job(flat, replace(flat, name="C", defects=(Defect("check", "A", F(20), F(0), F(9), F(8)),)))
    assert [(c.x, c.y) for c in second_choices(spoiled, written, {"B": ()})["rail#1"]] == []


def test_batches_go_thickest_first_with_a_test_piece_from_the_waste() -> None:
    bp = replace(
        PLAN, blanks=(*PLAN.blanks, replace(PLAN.blanks[0], blank="B-b", layers=2, thicknesses=(F(1, 4), F(3, 8)), pieces=()))
    )
    job = _job()
    found = batches(job, _plan(bp), {"B": regions(BOARD, PLAN, job)})
    assert [b.thickness for b in found] == [F(3, 4), F(3, 8), F(1, 4)]
    assert found[1].layers == (("B-b", 2, 2),)
    test = found[0].test
    assert test is not None
    # Waste, never a kept offcut: a test piece earns no credit.
    assert (test.x, test.y, test.length, test.width) == (F(2), F(33, 8), F(31), F(31, 8))
    job = _job(parts=(replace(RAIL, notes={"assembly": "door"}),))
    assert [(b.thickness, b.assembly) for b in batches(job, _plan(bp), {"B": ()})] == [
        (F(3, 4), "door"),
        (F(3, 8), ""),
        (F(1, 4), ""),
    ]
    thin = replace(BOARD, thickness=F(7, 8))
    assert batches(_job(thin), _plan(), {"B": regions(thin, PLAN, job)})[0].test is None
    split = replace(BOARD, defects=(Defect("split", "A", F(4), F(6), F(1), F(1)),))
    beside = batches(_job(split), _plan(), {"B": regions(split, PLAN, job)})[0].test
    # Beyond the split, which is 3 in from the datum end of the waste.
    assert beside is not None
    assert (beside.x, beside.length) == (F(5), F(28))


def test_stops_sets_and_glue_ups_are_grouped_in_order() -> None:
    short = Part("short", 1, "ash", F(3, 4), F(3), F(10), match="f", match_kind="run")
    top = Part("top", 1, "ash", F(3, 4), F(6), F(30), staves=(F(2), F(5)))
    more = (
        Piece("short#1", "short", "B-a", F(20), F(0), F(11), F(4), 1, 1, F(3, 4), set="f"),
        Piece("short#2", "short", "B-a", F(2), F(0), F(11), F(4), 1, 1, F(3, 4), set="f"),
        Piece("top#1/2", "top", "B-a", F(2), F(0), F(31), F(4), 1, 1, F(3, 4), set="top", stave=2),
        Piece("top#1/1", "top", "B-a", F(2), F(0), F(31), F(4), 1, 1, F(3, 4), set="top", stave=1),
    )
    job, plan = _job(parts=(RAIL, short, top)), _plan(replace(PLAN, pieces=(*PLAN.pieces, *more)))
    assert [(length, [p.piece for p in pieces]) for length, pieces in stop_settings(job, plan).items()] == [
        # Staves go long into the glue-up.
        (F(30), ["rail#1"]),
        (F(10), ["short#1", "short#2"]),
    ]
    assert {k: [p.piece for _, p in v] for k, v in glue_ups(plan).items()} == {"top#1": ["top#1/1", "top#1/2"]}
    assert {k: [p.piece for _, p in v] for k, v in matched_sets(job, plan).items()} == {("run", "f"): ["short#2", "short#1"]}


@pytest.mark.parametrize("sound", [True, False])
def test_uncut_boards_are_taken_within_their_trimmed_ends(sound: bool) -> None:
    flat = replace(BOARD, bow=F(0), twist=F(0))
    other = replace(flat, name="C", datum_sound=sound)
    found = second_choices(_job(flat, other), _plan(), {"B": ()})["rail#1"]
    assert [c.x for c in found] == [F(0) if sound else F(2)]


def test_what_a_resaw_cut_is_worth_beside_thin_stock_by_hand() -> None:
    """A blank of 31 x 4 in two 3/4 layers. 8/4 at 96 for 60 x 8: 124/480 x 96 = 24.80 of wood. 4/4 (1 >= 3/4 + 2 x 3/32) at 60
    for 60 x 8: two layers cost 2 x 124/480 x 60 = 31.00. One cut saves 6.20: 6.2 minutes at 60 an hour."""
    thick = replace(BOARD, quarters="8/4", nominal=F(2), thickness=F(2), cost=F(96))
    thin = replace(BOARD, name="C", cost=F(60))
    bp = replace(PLAN, cost=F(96), blanks=(replace(PLAN.blanks[0], layers=2, thicknesses=(F(3, 4), F(3, 4))),))
    worth = resaw_worths(_job(thick, thin), _plan(bp))["B-a"]
    assert (worth.wood, worth.thin, worth.quarters, worth.a_cut) == (F(124, 5), F(31), "4/4", F(31, 5))
    assert minutes(F(31, 5), 60) == F(31, 5)
    assert minutes(F(31, 5), 30) == F(62, 5)
    # A price sheet counts too; stock that is as thick as the board, or without a price, does not.
    sheet = PriceLine("d", "ash", "4/4", F(1), "FAS", F(9))
    assert resaw_worths(replace(_job(thick), prices=(sheet,)), _plan(bp))["B-a"].thin == 2 * F(124) * 9 / 144
    assert resaw_worths(_job(thick), _plan(bp))["B-a"].a_cut is None
    assert resaw_worths(_job(thick, replace(thin, cost=None)), _plan(bp))["B-a"].a_cut is None
    assert resaw_worths(_job(), _plan()) == {}
