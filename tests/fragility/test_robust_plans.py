"""Robust plans: spares, rivals, and promises kept on fresh draws."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest
from bench.families import plain
from rails import CERTAIN, RAIL, boards, planned

from yieldopt.checking import check
from yieldopt.cli import main
from yieldopt.fragility.reserve import on_fresh_draws, what_to_buy
from yieldopt.fragility.robust import RobustSearch, fresh, needed, rival, robust, sure, ways_to_raise, with_spare
from yieldopt.fragility.study import Candidate, study
from yieldopt.ground.deadline import Deadline
from yieldopt.ground.files import write_all_atomically
from yieldopt.luck.poisson import wilson
from yieldopt.luck.rates import Rates
from yieldopt.planned.checked import plan_files
from yieldopt.planning import plan_job
from yieldopt.records.planfile import loads
from yieldopt.records.sections import Robust, Spares, Standing
from yieldopt.wood.lumber import Job


def test_a_spare_is_laid_out_and_counts(roomy: Candidate) -> None:
    search = RobustSearch(Rates(hidden=0.0, spoiled=0.3), 30, 0, 1.0, Deadline(86_400))
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
    search = RobustSearch(Rates(hidden=0.0, spoiled=0.2), 150, 3, 1.0, Deadline(86_400))
    first = study(base, search.rates, search.draws, "3", search.deadline)
    best = robust(first, [], 0.9, search)
    assert best.share >= 0.9
    tested = fresh(best.candidate, search)
    assert tested.share > 0.96 - 4 * math.sqrt(0.96 * 0.04 / 150)


def test_a_spare_that_is_lost_is_no_part_that_is_missing(
    roomy: Candidate, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    spare = with_spare(roomy, "rail", RobustSearch(CERTAIN, 2, 0, 1.0, Deadline(86_400)))
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


def test_a_rival_that_saves_no_draw_that_failed_is_not_played_on(tight: Candidate) -> None:
    search = RobustSearch(Rates(hidden=0.0, spoiled=0.4), 30, 0, 1.0, Deadline(86_400))
    base = study(tight, search.rates, search.draws, "0", search.deadline)
    played: list[str] = []
    again = rival(
        replace(tight, name="again", order="risky first"), base, replace(search, watch=lambda name, *_: played.append(name))
    )
    assert (again.share, again.draws) == (base.share, base.draws)
    assert len(played) == 30 - base.finished


def _promise(boards_in_rack: int, kinds: int, pieces: int, seed: int, draws: int, fresh_draws: int) -> None:
    """A generated job made robust, from its stock or with boards bought, keeps its promise on fresh draws."""
    job = plain(seed, boards_in_rack, kinds, pieces)
    plan = plan_job(job, seconds=4, seed=seed).plan
    search = RobustSearch(Rates(), draws, seed, 2.0, Deadline(86_400))
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
    _promise(4, 3, 6, 1, 40, 50)


@pytest.mark.long
@pytest.mark.parametrize("seed", range(1, 5))
@pytest.mark.parametrize(("boards_in_rack", "pieces"), [(12, 50), (13, 36)])
def test_robust_plans_of_shop_size_jobs_keep_their_promise(seed: int, boards_in_rack: int, pieces: int) -> None:
    _promise(boards_in_rack, 12, pieces, seed, 200, 400)
