"""Machine limits that contradict each other, and groups that are placed whole or not at all."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F
from pathlib import Path

import pytest

from yieldopt.checking import check
from yieldopt.cli import main
from yieldopt.planned.checked import plan_checked
from yieldopt.wood.lumber import Allowances, Board, Job, Machines, Part, Shop
from yieldopt.wood.plan import Plan
from yieldopt.workers.serial import Serial

ODD = Machines(joint_width=F(2), wide_flattening="sled", min_mill_length=F(6), min_rip_width=F(6), resaw_height=F(30))


def planned(job: Job, steps: int = 8) -> Plan:
    return plan_checked(job, seconds=600, steps=steps, executor=Serial()).plan


def walnut(name: str, length: float, width: float, cost: int = 20) -> Board:
    return Board(name, "walnut", "8/4", F(2), F(length), F(width), F(2), stress="tested", cost=F(cost))


def test_layers_of_two_parts_are_as_wide_as_the_shop_rips() -> None:
    """Two thin narrow parts out of thick stock, one over the other: the blank was as narrow as they are."""
    parts = (Part("slip", 1, "walnut", F(5, 8), F(5), F(22)), Part("rail", 1, "walnut", F(5, 8), F(5), F(23)))
    plan = planned(Job("thin", "in", parts, (walnut("A", 29, 7),), Shop(machines=ODD)))
    assert plan.complete
    assert [(b.layers, b.width) for b in plan.boards[0].blanks] == [(2, F(6))]


def test_a_group_stays_on_its_board_though_a_layer_of_it_lies_elsewhere() -> None:
    """A blank elsewhere holds one of the group beneath another part: that layer is not what the group wants."""
    from yieldopt.planning.finish.assemble import board_plans
    from yieldopt.planning.layouts.layout import Layout, Placed
    from yieldopt.planning.pricing.context import prepare
    from yieldopt.planning.solve import FULL, QUICK, totals

    parts = (
        Part("door", 2, "walnut", F(5, 8), F(2), F(22), match="doors", match_kind="board"),
        Part("rail", 1, "walnut", F(5, 8), F(2), F(22)),
    )
    job = Job("doors", "in", parts, (walnut("A", 60, 7), walnut("B", 60, 7)), Shop(allowances=Allowances(board_end=F(0))))
    c = prepare(job, Serial(), FULL, QUICK)
    door = next(k for k, i in enumerate(c.items) if i.gives == ((0, F(2)),))
    both = next(k for k, i in enumerate(c.items) if dict(i.gives) == {0: F(1), 1: F(1)})
    boards, missing = board_plans(
        job, c.rows, c.items, c.stocks, [Layout(0, (Placed(both, F(0), F(0)),), ()), Layout(1, (Placed(door, F(0), F(0)),), ())]
    )
    assert not missing
    assert {p.piece: b.board for b in boards for p in b.pieces} == {"door#1": "B", "door#2": "B", "rail#1": "A"}
    plan = Plan(job.name, job.units, boards, (), totals(job, boards, missing, None, 0.0))
    assert not check(job, plan)


def test_a_group_that_has_no_room_whole_takes_none_from_other_parts() -> None:
    """Four of a group would fit, all five do not: then the two other parts have the board."""
    shop = Shop(Allowances(board_end=F(0)))
    group = Part("door", 5, "walnut", F(3, 2), F(5), F(18), match="doors", match_kind="board")
    other = Part("top", 2, "walnut", F(3, 2), F(5), F(38))
    plan = planned(Job("doors", "in", (group, other), (walnut("A", 80, 6),), shop))
    assert {u.part: u.qty for u in plan.unplaced} == {"door": 5}


JOB = """name = "x"
units = "in"
[machines]
min_rip_width = "6"
{limit}
"""


@pytest.mark.parametrize(
    ("limit", "said"),
    [
        ('planer_width = "4"', 'mills nothing over 4" (planer_width)'),
        ('joint_width = "2"\nwide_flattening = "none"', 'mills nothing over 2" (joint_width, as wide_flattening is none)'),
    ],
)
def test_a_shop_that_mills_nothing_is_told_so(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], limit: str, said: str
) -> None:
    (tmp_path / "job.toml").write_text(JOB.format(limit=limit))
    (tmp_path / "parts.csv").write_text("part,qty,species,thickness,width,length\nrail,1,walnut,3/4,2,20\n")
    (tmp_path / "boards.csv").write_text("board,species,quarters,length,width,cost\nA,walnut,4/4,60,8,10\n")
    assert main(["plan", str(tmp_path), "--out", str(tmp_path / "out"), "--seconds", "1", "--quiet", "--threads"]) == 3
    printed = capsys.readouterr().out
    assert f'this shop mills nothing of any width: it rips nothing under 6" (min_rip_width) and {said}' in printed
    main(["size", str(tmp_path)])
    assert said in " ".join(capsys.readouterr().out.split())


def test_resawing_alone_can_be_out_of_reach() -> None:
    pair = Part("door", 2, "walnut", F(1, 2), F(5), F(20), match="pair", match_kind="book")
    machines = replace(ODD, min_rip_width=F(4), resaw_height=F(3))
    plan = planned(Job("pair", "in", (pair,), (walnut("A", 60, 7),), Shop(machines=machines)), 2)
    assert 'rips nothing under 4" (min_rip_width) and resaws nothing over 3" (resaw_height)' in plan.unplaced[0].why
