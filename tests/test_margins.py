"""Wood kept clear of what can't be seen, where a job asks for it; a caution where it doesn't.

An inch beyond a split: https://www.woodworkingnetwork.com/wood/components-sourcing/end-cracks-rough-lumber; the end of a check is
often too fine to see: https://www.woodworkingnetwork.com/best-practices-guide/solid-wood-machining/end-checks-found-installation;
an inch on either side of pith is an inference. End checks of up to 4 in in 3 in stock:
https://www.woodworkingnetwork.com/magazine/fdmc-magazine/end-checks. The boards here are invented.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F

import pytest

from yieldopt.checking import check
from yieldopt.drawing.packet.packet import draw_packet
from yieldopt.drawing.page.paper import LETTER
from yieldopt.drawing.setting import setting_for
from yieldopt.drawing.words.margins import PRACTICE, margin_cautions
from yieldopt.insight.explaining import explain_part
from yieldopt.planning import plan_job
from yieldopt.wood.lumber import Allowances, Board, Defect, Job, Part, Shop
from yieldopt.wood.plan import Plan

KEYS = {"split": "split_along", "check": "check_along", "pith": "pith_across"}


def job(kind: str, **allowances: F) -> Job:
    """A board with one flaw amid it, and half an inch more wood on each side of it than a part takes: in the length, or beside
    pith in the width."""
    flaw = Defect(kind, "both", F(55, 2), F(0), F(2), F(9))
    if kind == "pith":
        flaw = Defect(kind, "both", F(0), F(15, 4), F(57), F(3, 2))
    board = Board("one", "ash", "4/4", F(1), F(57), F(9), F(1), cost=F(10), datum_sound=True, far_sound=True, defects=(flaw,))
    part = Part("rail", 2, "ash", F(3, 4), F(3), F(26))
    return Job("rails", "in", (part,), (board,), Shop(Allowances(**allowances)))


def planned(job: Job) -> Plan:
    plan = plan_job(job, seconds=90, steps=10).plan
    assert check(job, plan) == ()
    return plan


def apart(job: Job, plan: Plan, kind: str) -> F:
    """Least distance from the flaw to a blank, along the grain or for pith across it."""
    (flaw,) = job.boards[0].defects

    def gap(low: F, size: F, at: F, length: F) -> F:
        return max(at - low - size, low - at - length)

    across = kind == "pith"
    return min(
        gap(b.y, b.width, flaw.y, flaw.width) if across else gap(b.x, b.length, flaw.x, flaw.length)
        for e in plan.boards
        for b in e.blanks
    )


@pytest.mark.parametrize("kind", KEYS)
def test_planning_keeps_the_margin_that_the_job_sets(kind: str) -> None:
    for margin in (F(0), F(1, 4), F(1, 2)):
        made = job(kind, **{KEYS[kind]: margin})
        plan = planned(made)
        assert plan.complete
        assert apart(made, plan, kind) >= margin
    assert {u.qty for u in planned(job(kind, **{KEYS[kind]: F(3, 4)})).unplaced} == {2}


@pytest.mark.parametrize("kind", KEYS)
def test_a_job_without_a_margin_is_warned_of_each_blank_within_what_practice_keeps(kind: str) -> None:
    made = job(kind)
    plan = planned(made)
    along, across = PRACTICE[kind]
    (flaw,) = made.boards[0].defects
    blanks = plan.boards[0].blanks
    close = [
        b.blank
        for b in blanks
        if b.x < flaw.x + flaw.length + along
        and flaw.x - along < b.x + b.length
        and b.y < flaw.y + flaw.width + across
        and flaw.y - across < b.y + b.width
    ]
    assert close
    (line,) = margin_cautions(made.boards[0], plan.boards[0], setting_for(made, plan, LETTER, "d"))
    assert line.startswith(f"{kind.upper()} CLOSE BY, within 1: ")
    assert [b.blank for b in blanks if b.blank in line] == close
    packet = " ".join(t.text for page in draw_packet(made, plan).sheets["one"] for t in page.texts())
    assert f"{kind.upper()} CLOSE BY" in packet
    set_by_the_job = setting_for(job(kind, **{KEYS[kind]: F(1)}), plan, LETTER, "d")
    assert margin_cautions(made.boards[0], plan.boards[0], set_by_the_job) == []


def test_thick_stock_loses_its_own_trim_at_each_end() -> None:
    """A part that an 8/4 board of 32 gives with 2 in off each end, and not with 3; 4/4 is not touched by it."""
    part = Part("leg", 1, "ash", F(7, 4), F(2), F(27))
    thick = Board("thick", "ash", "8/4", F(2), F(32), F(6), F(2), cost=F(10))
    bare = Job("leg", "in", (part,), (thick,))
    longer = replace(bare, shop=Shop(Allowances(board_end_thick=F(3))))
    assert planned(bare).complete
    assert not planned(longer).complete
    thin = replace(thick, quarters="4/4", nominal=F(1))
    assert planned(replace(longer, boards=(thin,))).complete


def test_spare_for_tested_wood_makes_two_layers_thinner() -> None:
    """Two of 3/4 need 1 7/8 from a tested board, and with 1/32 for each layer 1 15/16: 2 f + 1/4 once it is flat and planed
    (https://www.woodcraft.com/blog_entries/tips-tricks-issue-82-how-to-grain-wrap-a-box) and two rough faces."""
    part = Part("door", 2, "ash", F(3, 4), F(5), F(20), match="doors", match_kind="book")
    for thickness, spare, complete in ((F(15, 8), 0, True), (F(15, 8), F(1, 32), False), (F(31, 16), F(1, 32), True)):
        board = Board("one", "ash", "8/4", F(2), F(40), F(7), thickness, stress="tested", cost=F(10))
        made = Job("doors", "in", (part,), (board,), Shop(Allowances(tested_spare=F(spare))))
        assert planned(made).complete == complete
    assert 2 * F(3, 4) + F(1, 4) + 2 * F(3, 32) == F(31, 16)


def test_the_explained_sizes_add_up_with_the_spare_for_tested_wood() -> None:
    part = Part("door", 2, "ash", F(3, 4), F(5), F(20), match="doors", match_kind="book")
    made = Job("doors", "in", (part,), (), Shop(Allowances(tested_spare=F(1, 32))))
    (line,) = [str(found.text) for found in explain_part(part, made) if "tested board" in str(found.text)]
    assert line.startswith('1 15/16" for 2 layers of a tested board')
    assert '+ 2 x 1/32" (tested_spare)' in line
