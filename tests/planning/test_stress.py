"""Wood for a stress test on boards that are resawn untested: a full section 1 in along the grain, 12 in from the end or more
(https://www.woodworkingnetwork.com/magazine/fdmc-magazine/checking-casehardening). Jobs and boards here are invented."""

from __future__ import annotations

import json
from dataclasses import replace
from fractions import Fraction as F
from pathlib import Path

import pytest

from yieldopt.checking import check, untested
from yieldopt.commands import check as check_command
from yieldopt.drawing.packet.packet import draw_packet
from yieldopt.planned.whole import summed_up
from yieldopt.planning import plan_job
from yieldopt.reading.writing import job_files
from yieldopt.records.planfile import dumps, loads
from yieldopt.replanning.again import replan
from yieldopt.replanning.surprise import Surprise
from yieldopt.wood.lumber import Allowances, Board, Defect, Job, Part, Shop
from yieldopt.wood.plan import BoardPlan, Plan, StressStrip


def doors(length: F | int, pairs: int = 1, defects: tuple[Defect, ...] = (), stress: str = "unknown", **allowances: F) -> Job:
    """Book pairs of 5/8 out of one 8/4 board 7 wide: each blank is 25 long."""
    board = Board("thick", "ash", "8/4", F(2), F(length), F(7), F(2), stress=stress, cost=F(40), defects=defects)  # type: ignore[arg-type]
    door = Part("door", 2 * pairs, "ash", F(5, 8), F(5), F(24), match="doors", match_kind="book")
    return Job("doors", "in", (door,), (board,), Shop(Allowances(**allowances)))


def planned(job: Job) -> Plan:
    plan = plan_job(job, seconds=90, steps=20, after=1.0).plan
    assert check(job, plan) == ()
    assert loads(dumps(plan)).boards == plan.boards
    return plan


def first(job: Job) -> BoardPlan:
    plan = planned(job)
    assert plan.complete
    return plan.boards[0]


def texts(job: Job, plan: Plan) -> str:
    return " ".join(t.text for page in draw_packet(job, plan).sheets["thick"] for t in page.texts())


@pytest.mark.parametrize(
    "job",
    [
        doors(96),
        # What lies between two pairs has to move.
        doors(58, pairs=2),
        # At 32 from the datum end nothing else can be cut.
        doors(61, pairs=2, defects=(Defect("bark", "both", F(28), F(0), F(2), F(7)),)),
        doors(60, pairs=2, stress_strip=F(2)),
    ],
    ids=["room enough", "moved", "over a flaw", "a wider strip"],
)
def test_a_strip_is_cut_off_first_and_everything_else_keeps_off_it(job: Job) -> None:
    board = first(job)
    strip = board.stress_strip
    assert strip is not None
    assert board.no_stress_strip is None
    assert strip.length == job.shop.allowances.stress_strip
    assert F(12) <= strip.x <= job.boards[0].length - 12 - strip.length
    cuts = sorted(board.cuts, key=lambda c: c.order)
    assert [(c.kind, c.at) for c in cuts[:2]] == [("crosscut", strip.x - F(1, 8)), ("crosscut", strip.x + strip.length)]
    assert all(b.x + b.length <= cuts[0].at or b.x >= cuts[1].at + F(1, 8) for b in board.blanks)
    assert all(o.x + o.length <= cuts[0].at or o.x >= cuts[1].at + F(1, 8) for o in board.offcuts)
    # Marked with chalk: at eighths.
    assert strip.x % F(1, 8) == 0


def test_only_what_the_strip_takes_of_a_kept_offcut_is_paid_for_it() -> None:
    with_it, without = planned(doors(96)), planned(doors(96, stress_strip=F(0)))
    assert without.boards[0].stress_strip is None
    # An offcut 1 1/8 shorter (the strip and a kerf) of the 7 in board, at its share of the price and the credit's share of that.
    assert with_it.totals.net_cost - without.totals.net_cost <= float(F(9, 8) * 7 * F(40) / (96 * 7) * F(3, 5)) + 1e-6


def test_all_parts_come_first() -> None:
    """Two pairs and their kerf fill what is between the trimmed ends, so there is no strip, and the plan says so."""
    job = doors(F(54) + F(1, 2), pairs=2)
    plan = planned(job)
    assert plan.complete
    assert plan.boards[0].stress_strip is None
    assert plan.boards[0].no_stress_strip == "its parts leave no wood for one"
    assert "NO WOOD KEPT FOR A STRESS TEST on thick: its parts leave no wood for one" in texts(job, plan)
    assert "no wood kept for a stress test on thick: its parts leave no wood for one" in summed_up(job, plan)
    short = replace(job, boards=(replace(job.boards[0], length=F(24) + F(1, 2), datum_sound=True, far_sound=True),))
    short = replace(short, parts=(replace(job.parts[0], qty=2, length=F(20)),))
    assert first(short).no_stress_strip == "the board is too short for one"


@pytest.mark.parametrize(("price", "strip"), [(F(60), True), (F(90), False)])
def test_another_board_is_taken_for_a_strip_up_to_the_price_of_the_board_that_it_saves(price: F, strip: bool) -> None:
    """The board of 40 has no wood beside the doors; a longer one has it, for 20 or 50 more, less what of it is kept."""
    job = doors(F(54) + F(1, 2), pairs=2)
    longer = replace(job.boards[0], name="longer", length=F(60), cost=price)
    plan = planned(replace(job, boards=(*job.boards, longer)))
    assert plan.complete
    assert [b.board for b in plan.boards] == ["longer" if strip else "thick"]
    assert (plan.boards[0].stress_strip is not None) is strip


def test_boards_that_are_tested_or_not_resawn_lose_nothing() -> None:
    assert first(doors(58, pairs=2, stress="tested")).stress_strip is None
    rail = Part("rail", 2, "ash", F(7, 4), F(5), F(24))
    plain = replace(doors(58), parts=(rail,))
    assert first(plain).stress_strip is None
    off = replace(plain, shop=Shop(Allowances(stress_strip=F(0))))
    assert planned(plain).boards == planned(off).boards


def test_the_sheet_says_where_it_is_cut_and_how_it_is_read() -> None:
    job = doors(96)
    plan = planned(job)
    strip = plan.boards[0].stress_strip
    assert strip is not None
    said = texts(job, plan)
    assert "STRESS TEST BEFORE ANYTHING ELSE: cuts 1 and 2" in said
    assert "test strip" in said
    assert "some hours" in said
    assert "stress along the board" in said
    assert "wood for a stress test is kept on thick: test it before anything else is cut" in summed_up(job, plan)


def test_a_strip_that_is_cut_off_stays_in_a_new_plan() -> None:
    job = doors(96)
    plan = planned(job)
    again = replan(job, plan, Surprise(cut_through={"thick": 2}), seconds=5)
    assert again.plan.boards[0].stress_strip == plan.boards[0].stress_strip
    lost = replan(job, plan, Surprise(cut_through={"thick": 2}, found={"thick": (_knot(plan),)}), seconds=5)
    assert check(lost.job, lost.plan) == ()
    assert lost.plan.boards[0].stress_strip == plan.boards[0].stress_strip


def _knot(plan: Plan) -> Defect:
    blank = plan.boards[0].blanks[0]
    return Defect("loose knot", "both", blank.x + 2, blank.y + 1, F(1), F(1))


def test_a_plan_without_one_passes_with_a_note(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Plans that others write to the format know nothing of strips."""
    job = doors(96)
    plan = planned(job)
    bare = replace(plan, boards=tuple(replace(b, stress_strip=None) for b in plan.boards))
    assert check(job, bare) == ()
    assert untested(job, bare) == ("thick: resawn, its stress is not known, and no wood is kept for a stress test",)
    assert untested(job, plan) == ()
    (tmp_path / "job").mkdir()
    for name, text in job_files(job).items():
        (tmp_path / "job" / name).write_text(text)
    (tmp_path / "plan.json").write_text(dumps(bare))
    assert "stress_strip" not in json.dumps(json.loads(dumps(bare))["boards"])
    from argparse import Namespace

    assert check_command.run(Namespace(plan=tmp_path / "plan.json", job=None)) == 0
    assert "note: thick: resawn" in capsys.readouterr().out


def test_each_rule_about_it_has_a_breach() -> None:
    job = doors(96)
    plan = planned(job)
    (board,) = plan.boards
    strip = board.stress_strip
    assert strip is not None

    def codes(**changes: object) -> set[int]:
        return {f.code for f in check(job, replace(plan, boards=(replace(board, **changes),)))}  # type: ignore[arg-type]

    assert codes(stress_strip=replace(strip, length=strip.length - F(1, 8))) == {205, 715}
    assert 205 in codes(stress_strip=StressStrip(F(11), F(1)))
    assert codes(stress_strip=StressStrip(board.blanks[0].x + 13, F(1))) >= {714, 715}
    last = max(c.order for c in board.cuts)
    swapped = tuple(replace(c, order=last + 1 if c.order == 2 else c.order) for c in board.cuts)
    assert 715 in codes(cuts=swapped)
    assert codes(cuts=tuple(c for c in board.cuts if c.order != 1)) >= {715}
