"""Draws by chance on a job small enough to reckon by hand (invented data): what comes out must be what the rates say."""

from __future__ import annotations

import json
import math
import os
import signal
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction as F
from pathlib import Path

import pytest
from bench.families import plain
from hypothesis import given
from hypothesis import strategies as st

from yieldopt.checking import check
from yieldopt.cli import main
from yieldopt.deadline import Deadline
from yieldopt.files import write_all_atomically
from yieldopt.fragility.reserve import on_fresh_draws, what_to_buy
from yieldopt.fragility.robust import Search, fresh, needed, rival, robust, sure, ways_to_raise, with_spare
from yieldopt.fragility.study import Candidate, gain, study, without_unplaced
from yieldopt.luck.at_the_saw import cut_board
from yieldopt.luck.play import Game, Rules, play
from yieldopt.luck.poisson import wilson
from yieldopt.luck.rates import ENOUGH, SPOILED, UNTESTED, Rates
from yieldopt.luck.strokes import hidden_flaws, unlucky
from yieldopt.luck.surprises import HIDDEN, shrinkage_factor
from yieldopt.lumber import Board, Defect, Job, Part
from yieldopt.plan import Plan
from yieldopt.planned.checked import plan_files
from yieldopt.planning import plan_job
from yieldopt.rack.cut.booking import Corrections
from yieldopt.rack.door.facade import Rack
from yieldopt.reading import read_job
from yieldopt.records.planfile import loads
from yieldopt.records.sections import Robust, Spares, Standing
from yieldopt.replanning.bench import Bench, Benches
from yieldopt.replanning.noted import NOTHING
from yieldopt.replanning.state import marked
from yieldopt.replanning.surprise import Surprise
from yieldopt.workers.runner import Runner
from yieldopt.workers.serial import Serial

RAIL = Part("rail", 1, "ash", F(3, 4), F(2), F(20))
# Each board gives one rail and nothing else.
ONE = Board("A1", "ash", "4/4", F(1), F(25), F(5, 2), F(1), cost=F(20))
CERTAIN = Rates(hidden=0.0, spoiled=0.0)


def boards(count: int) -> tuple[Board, ...]:
    return tuple(replace(ONE, name=f"A{k}", cost=F(20 + k)) for k in range(1, count + 1))


def planned(job: Job) -> Plan:
    return plan_job(job, seconds=60, seed=1, until_gap=0.01, steps=12).plan


@pytest.fixture(scope="module")
def tight() -> Candidate:
    """One rail, one board: any loss ends it."""
    job = Job("tight", "in", (RAIL,), boards(1))
    return Candidate("as planned", job, planned(job), {"rail": 1})


@pytest.fixture(scope="module")
def roomy() -> Candidate:
    """One rail, and a second board to make it from again."""
    job = Job("roomy", "in", (RAIL,), boards(2))
    return Candidate("as planned", job, planned(job), {"rail": 1})


def test_without_surprises_every_draw_finishes(tight: Candidate) -> None:
    chance = study(tight, CERTAIN, 5, "0", Deadline(60))
    assert (chance.share, chance.draws) == (1.0, 5)
    assert 0 < chance.error < 0.25
    assert not chance.losing


def test_the_chance_is_that_of_the_rates(tight: Candidate, roomy: Candidate) -> None:
    """A piece spoiled with chance p: one board finishes with 1 - p, two with 1 - p^2."""
    rates = Rates(hidden=0.0, spoiled=0.3)
    thin = rates.spoils("ash", False, False)
    assert thin == 0.3
    for candidate, exact in ((tight, 0.7), (roomy, 1 - 0.3**2)):
        chance = study(candidate, rates, 120, "exact", Deadline(120))
        assert chance.draws == 120
        assert abs(chance.share - exact) < 4 * math.sqrt(exact * (1 - exact) / 120)


def test_the_same_seed_draws_the_same_luck(roomy: Candidate) -> None:
    rates = Rates(hidden=2.0, spoiled=0.2)
    first, second = (study(roomy, rates, 6, "s", Deadline(60)).outcomes for _ in range(2))
    assert first == second
    assert study(roomy, rates, 6, "t", Deadline(60)).outcomes != first


def test_a_deadline_keeps_the_draws_made(roomy: Candidate) -> None:
    deadline = Deadline(60)
    chance = study(roomy, CERTAIN, 50, "0", deadline, lambda _n, made, _w, _f: deadline.stop() if made == 3 else None)
    assert chance.draws == 3


def test_losses_and_failures_are_counted_by_part(tight: Candidate) -> None:
    chance = study(tight, Rates(hidden=0.0, spoiled=0.5), 40, "0", Deadline(60))
    assert chance.losing["rail"] == chance.failing["rail"] == 40 - chance.finished > 0


def test_a_gain_is_measured_on_the_same_draws(tight: Candidate, roomy: Candidate) -> None:
    rates = Rates(hidden=0.0, spoiled=0.4)
    a, b = (study(c, rates, 40, "0", Deadline(60)) for c in (roomy, tight))
    more, error = gain(a, b)
    assert more == pytest.approx(a.share - b.share)
    assert 0 < error < 0.2


def test_hidden_flaws_lie_on_the_board_and_are_as_many_as_the_rate(tight: Candidate) -> None:
    board = replace(ONE, length=F(100), width=F(144, 10), notes={"grade": "No. 1 Common"})
    rates = Rates(hidden=1.0)
    counts = [len(hidden_flaws(board, rates, str(k))) for k in range(400)]
    mean = rates.flaws(board) * 10
    assert rates.flaws(board) == pytest.approx(shrinkage_factor("ash"))
    assert abs(sum(counts) / 400 - mean) < 4 * math.sqrt(mean / 400)
    for d in hidden_flaws(board, Rates(hidden=20.0), "x"):
        assert d.x >= 0
        assert d.x + d.length <= board.length
        assert d.y >= 0
        assert d.y + d.width <= board.width


@given(st.text(max_size=5), st.integers(1, 9))
def test_luck_belongs_to_the_piece_and_the_attempt(draw: str, attempt: int) -> None:
    assert unlucky(draw, "rail#1", attempt, 1.0)
    assert not unlucky(draw, "rail#1", attempt, 0.0)
    assert unlucky(draw, "rail#1", attempt, 0.5) == unlucky(draw, "rail#1", attempt, 0.5)


def test_rates_by_grade_thickness_and_species() -> None:
    common = replace(ONE, notes={"grade": "No. 1 Common"})
    rates = Rates()
    assert rates.flaws(replace(common, notes={"grade": "FAS"})) < rates.flaws(common)
    assert rates.flaws(replace(common, nominal=F(2))) > rates.flaws(common)
    # Tangential shrinkage, Wood Handbook (FPL-GTR-190) Table 4-3: northern red oak 8.6 %, black walnut 7.8 %.
    oak, walnut = (rates.flaws(replace(common, species=s)) for s in ("red oak", "walnut"))
    assert walnut / oak == pytest.approx(7.8 / 8.6)
    assert rates.flaws(replace(common, species="no such wood")) == pytest.approx(HIDDEN)
    assert rates.spoils("ash", True, False) == pytest.approx(SPOILED + UNTESTED)


def test_the_shops_own_history_takes_over_as_it_grows() -> None:
    few, some, many = (Rates(history={"ash": (n, n // 10)}).own("ash") for n in (ENOUGH - 1, 200, 20_000))
    assert few == SPOILED
    assert SPOILED < some < many
    assert many == pytest.approx(0.1, abs=0.002)
    assert Rates(history={"ash": (1000, 100)}).own("oak") == SPOILED


def test_a_pair_that_loses_one_half_is_lost_whole() -> None:
    doors = Part("door", 2, "walnut", F(5, 8), F(5), F(18), match="doors", match_kind="book")
    job = Job("doors", "in", (doors,), (Board("W1", "walnut", "8/4", F(2), F(23), F(6), F(2), stress="tested"),))
    rules = Rules({"door": 2}, "planned", Rates(hidden=0.0, spoiled=0.3))
    outcomes = [play(Game(job, planned(job)), rules, "pair", k) for k in range(8)]
    assert {o.finished for o in outcomes} == {True, False}
    for o in outcomes:
        assert o.lost == (Counter() if o.finished else Counter({"door": 2}))


def test_a_spare_is_laid_out_and_counts(roomy: Candidate) -> None:
    search = Search(Rates(hidden=0.0, spoiled=0.3), 30, 0, 1.0, Deadline(60))
    spare = with_spare(roomy, "rail", search)
    assert spare is not None
    assert spare.plan.section(Spares) == Spares({"rail": 1})
    assert needed(spare.job, spare.plan) == {"rail": 1}
    assert not check(spare.job, spare.plan)
    # No wood takes a second one.
    assert with_spare(spare, "rail", search) is None


def test_a_robust_plan_keeps_its_promise_on_fresh_draws() -> None:
    """Two boards for one rail, each spoiled with chance 0.2: 96 % finish, whichever draws one looks at."""
    job = Job("roomy", "in", (RAIL,), boards(2))
    base = Candidate("as planned", job, planned(job), {"rail": 1})
    search = Search(Rates(hidden=0.0, spoiled=0.2), 150, 3, 1.0, Deadline(120))
    first = study(base, search.rates, search.draws, "3", search.deadline)
    best = robust(first, [], 0.9, search)
    assert best.share >= 0.9
    tested = fresh(best.candidate, search)
    assert tested.share > 0.96 - 4 * math.sqrt(0.96 * 0.04 / 150)


def test_at_the_command_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = Job("roomy", "in", (RAIL,), boards(2))
    write_all_atomically(tmp_path / "p", plan_files(job, planned(job)))
    args = ["fragile", str(tmp_path / "p/plan.json"), "--draws", "30", "--spoil", "0.3", "--hidden", "0", "--quiet"]
    assert main(args) == 0
    told = capsys.readouterr().out
    assert "chance of finishing from the stock in hand" in told
    assert "rail: a piece is lost" in told
    assert "risky boards first" in told
    assert main([*args, "--chance", "60%", "--out", str(tmp_path / "r")]) == 0
    told = capsys.readouterr().out
    assert "on fresh ones" in told
    plan = loads((tmp_path / "r/plan.json").read_text(encoding="utf-8"))
    assert not check(read_job(tmp_path / "r/job"), plan)
    assert json.loads((tmp_path / "r/plan.json").read_text())["robust"]["draws"] == 30
    assert main([*args, "--chance", "99.9%", "--spoil", "0.5", "--out", str(tmp_path / "n")]) == 3
    assert "no plan found has a chance of 99.9 %" in capsys.readouterr().out


@pytest.mark.parametrize(
    "option", [["--draws", "1"], ["--hidden", "-1"], ["--spoil", "2"], ["--chance", "150%"], ["--seconds", "0"]]
)
def test_odd_options_are_refused(tmp_path: Path, option: list[str]) -> None:
    job = Job("roomy", "in", (RAIL,), boards(1))
    write_all_atomically(tmp_path / "p", plan_files(job, planned(job)))
    assert main(["fragile", str(tmp_path / "p/plan.json"), *option]) == 2


def test_the_rack_tells_how_many_pieces_were_spoiled(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = Job("roomy", "in", (replace(RAIL, qty=2),), boards(2))
    plan = planned(job)
    write_all_atomically(tmp_path / "p", plan_files(job, plan))
    file = tmp_path / "r.sqlite"
    assert main(["rack", "load", str(tmp_path / "p/job"), "--rack", str(file)]) == 0
    with Rack.open(file) as rack:
        assert rack.spoiled_by_species() == {}
        rack.book(plan, parts=job.part_named, fix=Corrections(spoiled=frozenset({"rail#1"})))
        assert rack.spoiled_by_species() == {"ash": (2, 1)}
        rack.undo()
        assert rack.spoiled_by_species() == {}
    args = ["fragile", str(tmp_path / "p/plan.json"), "--draws", "2", "--quiet", "--rack", str(file)]
    assert main(args) == 0
    assert "chance of finishing" in capsys.readouterr().out


def test_ctrl_c_ends_with_the_draws_made(tmp_path: Path) -> None:
    """The first line of progress is waited for, so that the signal comes while draws are made."""
    job = Job("roomy", "in", (RAIL,), boards(2))
    write_all_atomically(tmp_path / "p", plan_files(job, planned(job)))
    command = [sys.executable, "-m", "yieldopt", "fragile", str(tmp_path / "p/plan.json"), "--draws", "100000"]
    env = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=env) as run:
        assert run.stderr is not None
        assert "25 of 100000" in run.stderr.readline()
        run.send_signal(signal.SIGINT)
        told, _ = run.communicate(timeout=120)
    assert run.returncode == 0
    assert "chance of finishing from the stock in hand" in told


def test_draws_made_before_the_processes_count_where_these_are_stopped_before_their_first(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A later draw may be done, and be on the screen, before the first one is; only those from the first on count."""
    job = Job("roomy", "in", (RAIL,), boards(2))
    write_all_atomically(tmp_path / "p", plan_files(job, planned(job)))

    def none_in_order(runner: Runner, do: object, tasks: object, deadline: Deadline, each: float) -> Iterator[object]:
        deadline.stop()
        return iter(())

    monkeypatch.setattr("yieldopt.fragility.inquiry.POOL_PAYS", 0.0)
    monkeypatch.setattr(Runner, "start", lambda self: None)
    monkeypatch.setattr(Runner, "run", none_in_order)
    assert main(["fragile", str(tmp_path / "p/plan.json"), "--draws", "100"]) == 0
    assert "chance of finishing from the stock in hand" in capsys.readouterr().out


def test_a_spare_that_is_lost_is_no_part_that_is_missing(
    roomy: Candidate, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    spare = with_spare(roomy, "rail", Search(CERTAIN, 2, 0, 1.0, Deadline(60)))
    assert spare is not None
    plan = spare.plan.saying(Robust(Standing(1.0, 0.0, 20, ())))
    write_all_atomically(tmp_path / "p", plan_files(spare.job, plan))
    lost = ["--happened", "rail#1: done", "--happened", "rail#2: spoiled", "--seconds", "4"]
    assert main(["replan", str(tmp_path / "p/plan.json"), *lost, "--out", str(tmp_path / "n")]) == 3
    assert "1 x rail (spare: the job is whole without)" in capsys.readouterr().out
    new = loads((tmp_path / "n/plan.json").read_text(encoding="utf-8"))
    # The chance was that of another plan.
    assert new.section(Robust) is None
    assert new.section(Spares) == Spares({"rail": 1})


@pytest.mark.parametrize(
    ("successes", "draws", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_wilsons_interval(successes: int, draws: int, low: float, high: float) -> None:
    """Newcombe, Two-sided confidence intervals for the single proportion, Statistics in Medicine 17, 1998, Table I (the score
    method): from memory."""
    assert wilson(successes, draws) == pytest.approx((low, high), abs=5e-5)


def test_processes_draw_the_same_as_one_draw_after_the_other(roomy: Candidate) -> None:
    rates = Rates(hidden=2.0, spoiled=0.2)
    alone = study(roomy, rates, 12, "s", Deadline(60))
    with Runner(Serial(), workers=2) as runner:
        handed = study(roomy, rates, 12, "s", Deadline(60), runner=runner)
    assert handed.outcomes == alone.outcomes


def test_a_rival_that_saves_no_draw_that_failed_is_not_played_on(tight: Candidate) -> None:
    search = Search(Rates(hidden=0.0, spoiled=0.4), 30, 0, 1.0, Deadline(60))
    base = study(tight, search.rates, search.draws, "0", search.deadline)
    played: list[str] = []
    again = rival(
        replace(tight, name="again", order="risky first"), base, replace(search, watch=lambda name, *_: played.append(name))
    )
    assert (again.share, again.draws) == (base.share, base.draws)
    assert len(played) == 30 - base.finished


def test_parts_without_a_place_from_the_start_are_not_looked_for(tight: Candidate) -> None:
    """Two rails wanted and wood for one: the job to finish is that of the one."""
    oak = Part("shelf", 1, "oak", F(3, 4), F(4), F(30))
    job = replace(tight.job, parts=(*tight.job.parts, oak))
    plan = planned(job)
    assert [u.part for u in plan.unplaced] == ["shelf"]
    assert [p.name for p in without_unplaced(job, plan).parts] == ["rail"]
    chance = study(Candidate("as planned", job, plan, needed(job, plan)), CERTAIN, 4, "0", Deadline(60))
    assert chance.share == 1.0


def test_a_board_that_nothing_hits_is_done_without_replaying_it(roomy: Candidate) -> None:
    """The short way and the long one come to the same."""
    bench = Bench(roomy.job.board_named[roomy.plan.boards[0].board], roomy.plan.boards[0])
    made = cut_board(roomy.job, roomy.plan, bench, [], "d", 1, CERTAIN, NOTHING, Benches())
    told = Surprise(done=bench.names, cut_through={bench.board.name: 99})
    assert made.entry == marked(roomy.job, roomy.plan, told).boards[0]
    assert not made.gone
    off = Defect("check", "both", bench.board.length - F(1, 2), F(0), F(1, 2), F(1, 4))
    assert cut_board(roomy.job, roomy.plan, bench, [off], "d", 1, CERTAIN, NOTHING, Benches()).entry == made.entry
    p = bench.plan.pieces[0]
    through = Defect("check", "both", p.x, p.y, p.length, p.width)
    assert cut_board(roomy.job, roomy.plan, bench, [through], "d", 1, CERTAIN, NOTHING, Benches()).gone == {p.piece}


def _promise(boards_in_rack: int, kinds: int, pieces: int, seed: int, draws: int, fresh_draws: int) -> None:
    """A generated job made robust, from its stock or with boards bought, keeps its promise on fresh draws."""
    job = plain(seed, boards_in_rack, kinds, pieces)
    plan = plan_job(job, seconds=4, seed=seed).plan
    search = Search(Rates(), draws, seed, 2.0, Deadline(3600))
    base = study(Candidate("as planned", job, plan, needed(job, plan)), search.rates, draws, str(seed), search.deadline)
    best = robust(base, ways_to_raise(base, search) if not sure(base, 0.95) else [], 0.95, search)
    again = replace(search, draws=fresh_draws)
    tested = fresh(best.candidate, again)
    assert not check(best.candidate.job, best.candidate.plan)
    if not sure(best, 0.95):
        reserve = what_to_buy(best, 0.95, search)
        assert reserve is not None
        assert reserve.chance.share >= best.share
        bought = on_fresh_draws(reserve, tested, again)
        assert bought is not None
        best, tested = reserve.chance, bought.chance
    assert tested.draws == fresh_draws
    # What was said on the draws that chose it, within chance: three and a half standard errors.
    assert abs(tested.share - best.share) < 3.5 * math.hypot(tested.error, best.error)
    if sure(best, 0.95):
        assert wilson(tested.finished, tested.draws)[1] >= 0.95


def test_a_robust_plan_of_a_generated_job_keeps_its_promise() -> None:
    _promise(5, 4, 8, 1, 60, 80)


@pytest.mark.long
@pytest.mark.parametrize("seed", range(1, 5))
@pytest.mark.parametrize(("boards_in_rack", "pieces"), [(12, 50), (13, 36)])
def test_robust_plans_of_shop_size_jobs_keep_their_promise(seed: int, boards_in_rack: int, pieces: int) -> None:
    _promise(boards_in_rack, 12, pieces, seed, 200, 400)


def test_the_rack_tells_which_flaws_came_to_light_while_boards_were_cut(tmp_path: Path) -> None:
    """Told of in a surprise, kept with the plan's job, booked with its boards; offcuts of the board have it too."""
    long = replace(ONE, length=F(60), cost=F(40), notes={})
    job = Job("late", "in", (RAIL,), (long,))
    plan = planned(job)
    write_all_atomically(tmp_path / "p", plan_files(job, plan))
    file = tmp_path / "r.sqlite"
    assert main(["rack", "load", str(tmp_path / "p/job"), "--rack", str(file)]) == 0
    (offcut,) = (o for o in plan.boards[0].offcuts if o.kept)
    knot = f"A1: knot on A at {float(offcut.x) + 4}, 1/2, 1 x 1/2"
    told = ["--happened", knot, "--happened", "A1: all cut", "--happened", "rail#1: done", "--seconds", "4"]
    assert main(["replan", str(tmp_path / "p/plan.json"), *told, "--out", str(tmp_path / "n")]) == 0
    assert main(["rack", "cut", str(tmp_path / "n/plan.json"), "--rack", str(file)]) == 0
    with Rack.open(file) as rack:
        assert [(r.name, found) for r, found in rack.opened_boards()] == [("A1", 1)]
        (left,) = (r for r in rack.boards() if r.origin is not None)
        assert [d.kind for d in left.board.defects] == ["knot"]
        rack.undo()
        assert rack.opened_boards() == []
        assert not rack.board("A1").board.defects


def test_the_shops_own_flaws_take_over_as_they_come_to_light() -> None:
    common = replace(ONE, length=F(144), width=F(10), notes={"grade": "No. 1 Common"})
    rates = Rates()
    expected = rates.flaws(common) * 10
    few, some, many = (rates.after([(common, found)] * n) for found, n in ((2, 1), (1, 40), (1, 4000)))
    assert few.flaws(common) == rates.flaws(common)
    assert some.own_flaws("ash") == pytest.approx((10 + 40) / (10 + 40 * expected))
    assert many.flaws(common) * 10 == pytest.approx(1.0, rel=0.03)
    assert many.flaws(replace(common, species="oak")) == rates.flaws(replace(common, species="oak"))
