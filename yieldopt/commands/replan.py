"""`yieldopt replan`: the wood has surprised you; plan again from what is left."""

from __future__ import annotations

import argparse
import time
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from yieldopt.lumber import Job
    from yieldopt.plan import Plan, Unplaced
    from yieldopt.replanning.again import Replanned

# Seconds that the interpreter takes before a command can look at a clock; what check, pages and files take against all that
# goes before the search; and the share of the time that is searched whatever that takes.
UNSEEN, ENDING, LEAST_SEARCH = 0.1, 0.8, 0.35
HELP = "plan again from what is left, after pieces are cut or spoiled and defects found"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("plan", type=Path, metavar="PLAN", help="the plan.json so far")
    parser.add_argument("--done", type=Path, metavar="FILE", help="pieces that are finished, one a line")
    parser.add_argument("--spoiled", type=Path, metavar="FILE", help="pieces that were cut and lost, one a line")
    parser.add_argument("--found", type=Path, metavar="FILE", help="defects that came to light, with the columns of defects.csv")
    parser.add_argument(
        "--cut-through",
        action="append",
        default=[],
        metavar="BOARD:N",
        help="the board's cuts up to number N are made (may be given again)",
    )
    parser.add_argument(
        "--happened",
        action="append",
        default=[],
        metavar="LINE",
        help='one surprise in one line, such as "rail#2: spoiled" or "W3: check on A at 31 1/2, 2 1/4, 3 x 1/8" (again for more)',
    )
    parser.add_argument("--out", type=Path, required=True, metavar="DIR", help="where to write plan.json and job/")
    parser.add_argument("--job", type=Path, metavar="DIR", help="the job folder (default: the folder job beside the plan)")
    parser.add_argument(
        "--seconds", type=float, default=3.5, metavar="S", help="how long it may take in all, drawing included (default: 3.5)"
    )
    parser.add_argument("--seed", type=int, default=0, metavar="N", help="another number tries another search (default: 0)")
    parser.add_argument("--who", metavar="NAME", help="who reports this, for the history (default: the user's name here)")
    parser.add_argument(
        "--mark-price",
        type=float,
        metavar="MONEY",
        help="what it costs to rub out one chalk line; 0 plans all that is left afresh where that saves anything (default: 0.5)",
    )


def run(args: argparse.Namespace) -> int:
    """Plan again, check, write; 0: all placed, 3: some parts unplaced, 4: our own check refused the plan."""
    began = time.monotonic() - UNSEEN
    from yieldopt.checked import plan_files
    from yieldopt.errors import UsageError
    from yieldopt.files import write_all_atomically
    from yieldopt.planning.warming import warm
    from yieldopt.reading import read_job
    from yieldopt.reading.plans import read_plan
    from yieldopt.replanning import history
    from yieldopt.replanning.again import MARK_PRICE, replan
    from yieldopt.replanning.asking import told
    from yieldopt.replanning.ticks import FILE, joined, ticked

    if not 0 < args.seconds <= 86_400:
        raise UsageError(f"--seconds: found {args.seconds:g}, expected a time above 0 and up to a day")
    price = MARK_PRICE if args.mark_price is None else args.mark_price
    if not 0 <= price < 1e9:
        raise UsageError(f"--mark-price: found {price:g}, expected 0 or more")
    plan, text = read_plan(args.plan)
    job = read_job(args.job or args.plan.parent / "job")
    strangers = sorted({b.board for b in plan.boards} - set(job.board_named))
    if strangers:
        raise UsageError(f"{args.plan}: the plan cuts boards that are not in the job: {', '.join(strangers)}")
    ticks, note = ticked(args.plan.parent / FILE, text, job, plan)
    surprise = told(job, plan, args.done, args.spoiled, args.found, args.cut_through, args.happened)
    surprise = joined(ticks, surprise)
    warm()
    # Check, pages and files take about as much again as beginning did, on a busy machine too.
    search = args.seconds - (1 + ENDING) * (time.monotonic() - began)
    result = replan(job, plan, surprise, seconds=max(LEAST_SEARCH * args.seconds, search), seed=args.seed, mark_price=price)
    files: dict[str, str | bytes] = {}
    new = result.plan
    if new.revision != plan.revision:
        new = history.recorded(new, history.entries(plan), surprise.told, args.who or history.somebody(), history.now())
        files = {**history.earlier_files(args.plan, text, plan), "changes.html": _beside(job, plan, result, new)}
    write_all_atomically(args.out, {**files, **plan_files(result.job, new)})
    if note:
        print(note)
    for line in _summary(job, plan, result):
        print(line)
    print(f"written: {args.out / 'plan.json'}")
    return 0 if result.plan.complete else 3


def _summary(old_job: Job, old: Plan, result: Replanned) -> list[str]:
    from yieldopt.replanning.figures import as_known, figures, marks_kept, side_by_side

    new = result.plan
    lines = _told(result)
    if new.revision == old.revision:
        return [*lines, f"nothing changes; revision {new.revision}"]
    for c in result.changes:
        rub = ", ".join(str(k.order) for k in c.rub_out)
        lines.append(
            f"sheet {c.board}: {c.how}"
            + (f"; rub out the lines of cuts {rub} of revision {old.revision}" if rub else "")
            + (f"; draw those of cuts {', '.join(str(k.order) for k in c.draw)}" if c.draw else "")
        )
    if not result.changes:
        lines.append("no sheet changes, only what is ticked off")
    lines += side_by_side(figures(old_job, as_known(old_job, old), result.job, new), old.revision, new.revision)
    stay, planned = marks_kept(old, result.changes)
    lines.append(f"{stay} of {planned} chalk lines stay")
    return [*lines, *(_lacking(new, u) for u in new.unplaced)]


def _lacking(plan: Plan, u: Unplaced) -> str:
    """A part without a place; a spare is no part that the job can't do without."""
    spares = int(((plan.extra or {}).get("spares") or {}).get(u.part, 0))
    spare = " (spare: the job is whole without)" if u.qty <= spares else ""
    return f"not placed: {u.qty} x {u.part}{spare}: {u.why}"


def _told(result: Replanned) -> list[str]:
    """What the shop must know whatever else it reads."""
    lines = [
        f"FINISHED, BUT: {n}: {why}; it stays in the plan; name it under --spoiled if it is lost" for n, why in result.hit_done
    ]
    lines += [f"SET ASIDE: {n} is finished, but {why}" for n, why in result.set_aside]
    lines += [f"RENAMED: what was {a} is {b} from now on" for a, b in result.renamed]
    lines += [f"{n} lies in good wood of a spoiled piece" for n in result.served]
    lines += [f"to make again: {n}: {why}" for n, why in result.lost]
    fault = "FAULT: the independent check refused another way on, which is a fault of the program; please report it"
    return lines + [f"{fault}: {found}" for found in result.refused]


def _beside(old_job: Job, old: Plan, result: Replanned, new: Plan) -> str:
    """The page that shows both plans side by side."""
    from yieldopt.drawing.beside import Sheet, beside_page
    from yieldopt.drawing.today import printed_date
    from yieldopt.replanning.figures import as_known, figures

    old = as_known(old_job, old)
    rows = [(f.what, f.before, f.after) for f in figures(old_job, old, result.job, new)]
    sheets = [Sheet(c.board, c.how, c.rub_out, c.draw) for c in result.changes]
    told = [*_told(result), *(_lacking(new, u) for u in new.unplaced)]
    return beside_page((old_job, old), (result.job, new), rows, sheets, told, printed_date())
