"""`yieldopt fragile`: how likely is it that the stock in hand lasts, whatever the planer uncovers?"""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from yieldopt.luck.rates import Rates

# Draws that show how long one takes, and seconds from which on processes of their own pay for all draws.
TASTE, POOL_PAYS = 4, 20.0
# Seconds to lay out a spare.
SPARE_SECONDS = 2.0
# Seconds for fresh draws once the search was stopped by hand.
AFTER_CTRL_C = 8.0
HELP = "how likely a plan is to finish from the stock in hand, and what would raise that"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("plan", type=Path, metavar="PLAN", help="a plan.json")
    parser.add_argument("--job", type=Path, metavar="DIR", help="the job folder (default: the folder job beside the plan)")
    parser.add_argument("--draws", type=int, default=100, metavar="N", help="how many trials of each kind (default: 100)")
    parser.add_argument("--seconds", type=float, default=300.0, metavar="S", help="how long to try in all (default: 300)")
    parser.add_argument("--seed", type=int, default=0, metavar="N", help="another number gives other trials (default: 0)")
    parser.add_argument(
        "--hidden", type=float, metavar="R", help="hidden flaws a square foot of 4/4 common boards (default: 0.02)"
    )
    parser.add_argument("--spoil", type=float, metavar="P", help="chance that a piece is spoiled at the bench (default: 0.01)")
    parser.add_argument(
        "--rack", metavar="FILE", help="take the shop's own spoiled pieces and late flaws from this rack, once there are enough"
    )
    parser.add_argument("--chance", default="95%", metavar="P", help="the chance that a robust plan has to have (default: 95%%)")
    parser.add_argument(
        "--out", type=Path, metavar="DIR", help="write the cheapest plan with that chance here: plan.json and job/"
    )
    parser.add_argument("--quiet", action="store_true", help="don't show progress")


def run(args: argparse.Namespace) -> int:
    """Print it; exit status 3 where no plan found has the chance asked for (the best one is written all the same)."""
    from yieldopt.checking import check
    from yieldopt.deadline import Deadline
    from yieldopt.errors import CheckFailed, UsageError
    from yieldopt.files import write_all_atomically
    from yieldopt.fragility.chances_told import in_file, robust_told, told
    from yieldopt.fragility.reserve import on_fresh_draws, what_to_buy
    from yieldopt.fragility.robust import Search, fresh, keeps, marked_robust, needed, robust, sure, ways_to_raise
    from yieldopt.fragility.study import Candidate, study
    from yieldopt.planned.checked import plan_files
    from yieldopt.planned.running import share, stopping
    from yieldopt.planning.warming import warm
    from yieldopt.reading import read_job
    from yieldopt.reading.plans import read_plan
    from yieldopt.workers.runner import Runner

    if not 2 <= args.draws <= 100_000:
        raise UsageError(f"--draws: found {args.draws}, expected 2 to 100000")
    if not 0 < args.seconds <= 86_400:
        raise UsageError(f"--seconds: found {args.seconds:g}, expected a time above 0 and up to a day")
    target = share(args.chance, "--chance", "95%")
    rates = _rates(args)
    plan, _ = read_plan(args.plan)
    job = read_job(args.job or args.plan.parent / "job")
    findings = check(job, plan)
    if findings:
        raise UsageError(f"{args.plan}: the plan doesn't keep to its job; see `yieldopt check`: {findings[0]}")
    warm()
    deadline = Deadline(args.seconds)
    base = Candidate("as planned", job, plan, needed(job, plan))
    with Runner(ready=warm) as runner:
        search = Search(rates, args.draws, args.seed, SPARE_SECONDS, deadline, None if args.quiet else _progress)
        with stopping(deadline):
            # A few draws show whether it pays to start processes for the others.
            taste = study(base, rates, min(TASTE, args.draws), str(args.seed), deadline)
            if deadline.elapsed / TASTE * args.draws > POOL_PAYS:
                runner.start()
                search = replace(search, runner=runner)
            first = study(base, rates, args.draws, str(args.seed), deadline, search.watch, search.runner)
            # Processes may be stopped while later draws are done and the first ones are not; those were made before, the same.
            first = max(taste, first, key=lambda chance: chance.draws)
            took = deadline.elapsed
            others = ways_to_raise(first, search)
            best = robust(first, others, target, search) if args.out else None
            reserve = what_to_buy(best, target, search) if best is not None and not sure(best, target) else None
        if not first.draws:
            raise UsageError("stopped before the first trial")
        for line in told(first, others):
            print(line)
        if best is None:
            return 0
        late = deadline.over
        # Ctrl-C ends the search soon, yet what it found has to be tried on some draws that did not choose it.
        stopped = deadline.over and deadline.elapsed < args.seconds
        last = Deadline(AFTER_CTRL_C if stopped else max(30.0, deadline.left, 2 * took))
        search = replace(search, deadline=last)
        with stopping(last):
            tested = fresh(best.candidate, search)
            bought = on_fresh_draws(reserve, tested, search) if reserve else None
    for line in robust_told(first, best, tested, target, reserve, bought, late):
        print(line)
    findings = check(best.candidate.job, best.candidate.plan)
    if findings:
        raise CheckFailed([str(f) for f in findings])
    write_all_atomically(args.out, plan_files(best.candidate.job, marked_robust(tested, rates, in_file(bought))))
    print(f"written: {args.out / 'plan.json'}")
    return 0 if best.share >= target and keeps(tested, target) else 3


def _rates(args: argparse.Namespace) -> Rates:
    from yieldopt.errors import UsageError
    from yieldopt.luck.rates import SPOILED, Rates
    from yieldopt.luck.surprises import HIDDEN

    hidden = HIDDEN if args.hidden is None else args.hidden
    spoiled = SPOILED if args.spoil is None else args.spoil
    if not 0 <= hidden <= 5:
        raise UsageError(f"--hidden: found {hidden:g}, expected 0 to 5 flaws a square foot")
    if not 0 <= spoiled <= 0.5:
        raise UsageError(f"--spoil: found {spoiled:g}, expected a share from 0 to 0.5")
    if not args.rack:
        return Rates(hidden, spoiled)
    from yieldopt.rack.door.facade import Rack

    with Rack.open(args.rack, read_only=True) as rack:
        cut = [(replace(r.board, notes={"grade": r.grade}), found) for r, found in rack.opened_boards()]
        return Rates(hidden, spoiled, rack.spoiled_by_species()).after(cut)


def _progress(name: str, made: int, wanted: int, finished: int) -> None:
    if sys.stderr.isatty():
        print(f"\r{name}: {made} of {wanted} trials, {finished} finished\x1b[K", end="", file=sys.stderr, flush=True)
    elif made == wanted or made % 25 == 0:
        print(f"{name}: {made} of {wanted} trials, {finished} finished", file=sys.stderr, flush=True)
