"""One board is cut under the luck of a draw: which pieces are done, which have to be made anew, which were spoiled."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from yieldopt.insight.slack import AT_RISK, blank_slack
from yieldopt.luck.rates import Rates
from yieldopt.luck.strokes import unlucky
from yieldopt.replanning.bench import Bench, Benches
from yieldopt.replanning.lost import hit, lost, standing
from yieldopt.replanning.noted import Noted
from yieldopt.replanning.state import changed_job, marked
from yieldopt.replanning.surprise import Surprise
from yieldopt.replanning.wood import EPS
from yieldopt.rules.clearance import clear_of_pieces
from yieldopt.wood.lumber import Defect, Job
from yieldopt.wood.plan import BoardPlan, Plan


@dataclass(frozen=True)
class Cut:
    """What came of a board: its part of the plan with its marks, and the pieces that are lost."""

    entry: BoardPlan
    gone: frozenset[str]
    spoiled: frozenset[str]


def spoil_chances(job: Job, bench: Bench, rates: Rates) -> Mapping[str, float]:
    """How likely each piece of a board is to be spoiled at the bench."""
    question = ("spoil", rates.spoiled, rates.at_bench, id(rates.history))
    if question not in bench.answers:
        board, blanks = bench.board, bench.blanks
        thin = {n: blank_slack(board, b, bench.plan.pieces, job).spare < AT_RISK for n, b in blanks.items()}
        bench.answers[question] = {
            p.piece: rates.spoils(board.species, p.layers > 1 and board.stress != "tested", thin[p.blank])
            for p in bench.plan.pieces
            if p.blank in blanks
        }
    answer: Mapping[str, float] = bench.answers[question]
    return answer


def expected_loss(job: Job, bench: Bench, rates: Rates) -> float:
    """Pieces of a board that may be expected to be lost."""
    flaws = rates.flaws(bench.board) / 144
    chances = spoil_chances(job, bench, rates)
    still = [p for p in bench.plan.pieces if p.state != "done" and p.piece in chances]
    return sum(flaws * float(p.length * p.width) + chances[p.piece] for p in still)


def cut_board(
    job: Job,
    plan: Plan,
    bench: Bench,
    found: Sequence[Defect],
    draw: str,
    attempt: int,
    rates: Rates,
    notes: Noted,
    known: Benches,
) -> Cut:
    """The board goes over the machines as a whole, and `found` comes up; `job` does not know of that yet.

    Sets that stand and fall together lie on one board, so nothing but this board has to be looked at.
    """
    board, entry = bench.board, bench.plan
    chances = spoil_chances(job, bench, rates)
    open_ones = [p.piece for p in entry.pieces if p.state != "done"]
    spoiled = frozenset(n for n in open_ones if unlucky(f"{draw}/{board.name}", n, attempt, chances.get(n, 0.0)))
    if not spoiled and not notes.thin and not _meets_a_blank(job, entry, found):
        return Cut(_all_done(job, plan, bench), frozenset(), spoiled)
    job = changed_job(job, Surprise(found={board.name: tuple(found)}))
    alone = replace(plan, boards=(entry,))
    first = standing(job, marked(job, alone, Surprise(cut_through=_through(entry), spoiled=spoiled)), notes, known)
    # What lies in one blank with a piece that is hit is made all the same.
    fine = frozenset(open_ones) - spoiled - frozenset(hit(first))
    s = standing(job, marked(job, first.plan, Surprise(done=fine)), notes, known)
    return Cut(s.plan.boards[0], lost(s)[0], spoiled)


def _through(entry: BoardPlan) -> dict[str, int]:
    return {entry.board: max((c.order for c in entry.cuts if c.stage == "rough"), default=0)}


def _meets_a_blank(job: Job, entry: BoardPlan, found: Sequence[Defect]) -> bool:
    return any(clear_of_pieces(d, job.shop).meets(blank, EPS) for d in found for blank in entry.blanks)


def _all_done(job: Job, plan: Plan, bench: Bench) -> BoardPlan:
    """The board's part of the plan once all went well."""
    if "all done" not in bench.answers:
        every = Surprise(done=bench.names, cut_through=_through(bench.plan))
        bench.answers["all done"] = marked(job, replace(plan, boards=(bench.plan,)), every).boards[0]
    answer: BoardPlan = bench.answers["all done"]
    return answer
