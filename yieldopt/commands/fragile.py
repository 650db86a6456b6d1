"""`yieldopt fragile`: how likely is it that the stock in hand lasts, whatever the planer uncovers?"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from yieldopt.fragility.rates import Rates
    from yieldopt.fragility.study import Chance

# Seconds for fresh draws once the search was stopped by hand.
AFTER_CTRL_C = 8.0
HELP = "how likely a plan is to finish from the stock in hand, and what would raise that"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("plan", type=Path, metavar="PLAN", help="a plan.json")
    parser.add_argument("--job", type=Path, metavar="DIR", help="the job folder (default: the folder job beside the plan)")
    parser.add_argument("--draws", type=int, default=100, metavar="N", help="how many draws of each kind (default: 100)")
    parser.add_argument("--seconds", type=float, default=300.0, metavar="S", help="how long to draw in all (default: 300)")
    parser.add_argument("--seed", type=int, default=0, metavar="N", help="another number draws other luck (default: 0)")
    parser.add_argument(
        "--hidden", type=float, metavar="R", help="hidden flaws a square foot of 4/4 common boards (default: 0.02)"
    )
    parser.add_argument("--spoil", type=float, metavar="P", help="chance that a piece is spoiled at the bench (default: 0.01)")
    parser.add_argument("--rack", metavar="FILE", help="take the shop's own spoiled pieces from this rack, once there are enough")
    parser.add_argument("--chance", default="95%", metavar="P", help="the chance that a robust plan has to have (default: 95%%)")
    parser.add_argument(
        "--out", type=Path, metavar="DIR", help="write the cheapest plan with that chance here: plan.json and job/"
    )
    parser.add_argument("--quiet", action="store_true", help="show no progress")


def run(args: argparse.Namespace) -> int:
    """Print it; exit status 3 where no plan found has the chance asked for (the best one is written all the same)."""
    from yieldopt.checked import plan_files
    from yieldopt.checking import check
    from yieldopt.deadline import Deadline
    from yieldopt.errors import CheckFailed, UsageError
    from yieldopt.files import write_all_atomically
    from yieldopt.fragility.robust import Search, fresh, keeps, marked_robust, needed, robust, ways_to_raise
    from yieldopt.fragility.study import Candidate, study
    from yieldopt.planning.running import share, stopping
    from yieldopt.planning.warming import warm
    from yieldopt.reading import read_job
    from yieldopt.reading.plans import read_plan

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
    search = Search(rates, args.draws, args.seed, 3.0, deadline, None if args.quiet else _progress)
    base = Candidate("as planned", job, plan, needed(job, plan))
    with stopping(deadline):
        first = study(base, rates, args.draws, str(args.seed), deadline, search.watch)
        took = deadline.elapsed
        others = ways_to_raise(first, search)
        best = robust(first, others, target, search) if args.out else None
    if not first.draws:
        raise UsageError("stopped before the first draw was made")
    for line in _told(first, others):
        print(line)
    if best is None:
        return 0
    # Ctrl-C ends the search soon, yet what it found has to be tried on some draws that did not choose it.
    stopped = deadline.over and deadline.elapsed < args.seconds
    last = Deadline(AFTER_CTRL_C if stopped else max(30.0, deadline.left, 2 * took))
    with stopping(last):
        tested = fresh(best.candidate, Search(rates, args.draws, args.seed, 3.0, last, search.watch))
    for line in _robust(first, best, tested, target):
        print(line)
    findings = check(best.candidate.job, best.candidate.plan)
    if findings:
        raise CheckFailed([str(f) for f in findings])
    write_all_atomically(args.out, plan_files(best.candidate.job, marked_robust(tested, rates)))
    print(f"written: {args.out / 'plan.json'}")
    return 0 if best.share >= target and keeps(tested, target) else 3


def _rates(args: argparse.Namespace) -> Rates:
    from yieldopt.errors import UsageError
    from yieldopt.fragility.rates import HIDDEN, SPOILED, Rates

    hidden = HIDDEN if args.hidden is None else args.hidden
    spoiled = SPOILED if args.spoil is None else args.spoil
    if not 0 <= hidden <= 5:
        raise UsageError(f"--hidden: found {hidden:g}, expected 0 to 5 flaws a square foot")
    if not 0 <= spoiled <= 0.5:
        raise UsageError(f"--spoil: found {spoiled:g}, expected a share from 0 to 0.5")
    if not args.rack:
        return Rates(hidden, spoiled)
    from yieldopt.rack.facade import Rack

    with Rack.open(args.rack, read_only=True) as rack:
        return Rates(hidden, spoiled, rack.spoiled_by_species())


def _percent(chance: Chance) -> str:
    return f"{100 * chance.share:.0f} % (± {100 * chance.error:.1f}, {chance.draws} draws)"


def _told(first: Chance, others: list[Chance]) -> list[str]:
    from yieldopt.fragility.study import gain

    lines = [f"chance of finishing from the stock in hand: {_percent(first)}"]
    without = ", ".join(f"{u.qty} x {u.part}" for u in first.candidate.plan.unplaced)
    if without:
        lines.append(f"not counted, since they have no place to begin with: {without}")
    for part, n in first.losing.most_common(5):
        failed = first.failing.get(part, 0)
        lost, short = 100 * n / first.draws, 100 * failed / first.draws
        lines.append(f"  {part}: a piece is lost in {lost:.0f} % of the draws, no wood is left for it in {short:.0f} %")
    for o in sorted(others, key=lambda o: -gain(o, first)[0]):
        if o.draws:
            more, error = gain(o, first)
            extra = o.candidate.plan.totals.net_cost - first.candidate.plan.totals.net_cost
            lines.append(f"{o.candidate.name}: {100 * more:+.0f} points (± {100 * error:.1f}), net cost {extra:+.2f}")
    return lines


def _robust(first: Chance, best: Chance, tested: Chance, target: float) -> list[str]:
    from yieldopt.fragility.robust import keeps

    extra = best.candidate.plan.totals.net_cost - first.candidate.plan.totals.net_cost
    lines = [f"robust plan: {best.candidate.name}; {_percent(best)} on the draws that chose it, {_percent(tested)} on fresh ones"]
    lines.append(f"it costs {extra:+.2f} beside the plan as it is")
    if best.share < target:
        lines.append(f"no plan found has a chance of {100 * target:g} %: the stock in hand is too little for that")
        lines += [f"  lacking most often: {part}" for part, _ in best.failing.most_common(3)]
    elif not keeps(tested, target):
        lines.append("on fresh draws it falls short of that chance by more than chance explains; try again with more --draws")
    return lines


def _progress(name: str, made: int, wanted: int, finished: int) -> None:
    if sys.stderr.isatty():
        print(f"\r{name}: {made} of {wanted} draws, {finished} finished\x1b[K", end="", file=sys.stderr, flush=True)
    elif made == wanted or made % 25 == 0:
        print(f"{name}: {made} of {wanted} draws, {finished} finished", file=sys.stderr, flush=True)
