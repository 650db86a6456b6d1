"""One way on: some pieces stay where they lie, the others are planned anew from the wood that is free."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from fractions import Fraction

from yieldopt.ground.deadline import Deadline
from yieldopt.ground.names import whole_of
from yieldopt.planning.result import Progress
from yieldopt.planning.solve import plan_job
from yieldopt.planning.wood.stock import Stock, whole_board
from yieldopt.replanning.hits import show_face, spoils_offcut
from yieldopt.replanning.keeping import Kept, keep, may_give, usable
from yieldopt.replanning.lasting import with_lasting_names
from yieldopt.replanning.lost import Standing
from yieldopt.replanning.merging import homeless, merge, without
from yieldopt.replanning.money import priced, totals
from yieldopt.replanning.reduced import Reduced, reduce, renamed, still_missing
from yieldopt.replanning.relabel import with_lasting_labels
from yieldopt.replanning.salvage import salvage
from yieldopt.replanning.wood import EPS
from yieldopt.sizes.glue_up import thickened
from yieldopt.sizes.sizing import stave_width_needed
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import BoardPlan, Plan, Unplaced

# A search ends once its bound is this close, in the job's money.
NO_MORE = 0.005
# Share of its cost that a way on may be above its bound and is searched no further.
NEAR = 0.01
# Steps without gain after which a search for a place is given up: neighbourhoods and nodes of the few boards round a loss.
IDLE = 16
# Why a part has no place though the search found one.
ASTRAY = "the place that was found for it lies in no piece of wood that is left; that is a fault of the program, please report it"


@dataclass(frozen=True)
class WholePlan:
    """A whole plan for the job; `bound` is a proven lower bound on its net cost if everything movable was free."""

    plan: Plan
    missing: int
    bound: float | None
    # What it touches, in words.
    what: str = ""


def proven(p: Progress) -> bool:
    """Is there next to nothing left to be saved?"""
    return p.cost is not None and p.bound is not None and p.cost - p.bound < NO_MORE


def _near(p: Progress) -> bool:
    return p.cost is not None and p.bound is not None and p.cost - p.bound < max(NO_MORE, NEAR * p.cost)


class NothingMore:
    """Ends a search that is as good as proven, or that lacks parts and has gained nothing for `IDLE` steps."""

    def __init__(self) -> None:
        self._best: tuple[int, float | None] | None = None
        self._idle = 0

    def __call__(self, p: Progress) -> bool:
        now = (p.missing, p.cost)
        self._idle = 0 if now != self._best else self._idle + 1
        self._best = now
        return _near(p) or (p.missing > 0 and self._idle >= IDLE)


def way_on(
    s: Standing,
    gone: frozenset[str],
    offcuts_too: bool,
    seconds: float,
    seed: int,
    *,
    until: Callable[[Progress], bool] = proven,
    executor: Executor | None = None,
    steps: int | None = None,
) -> WholePlan:
    """Plan anew what `gone` names and what was missing, within `seconds` (or `steps` of the search, the same on any machine) and
    `until` it is good enough; with 0 seconds nothing is searched for, and it stays unplaced. With `offcuts_too` kept offcuts
    stay where they are unless they are used."""
    began = time.monotonic()
    kept = {name: keep(s.job, bench, gone, offcuts_too, s.notes) for name, bench in s.benches.items()}
    served = kept
    if s.notes.good:
        pinned = {q.piece for q in s.job.pins}
        missing = [m for m in still_missing(s.job, [p for k in kept.values() for p in k.pieces]) if m[1] not in pinned]
        served = salvage(s.job, kept, missing, s.notes)
    salvaged = {n for n, k in served.items() if k is not kept[n]}
    kept = served
    reduced = reduce(s.job, [(name, p) for name, k in kept.items() for p in k.pieces])
    planned: list[BoardPlan] = []
    why: dict[str, str] = {}
    bound: float | None = _base(s.job, kept)
    stocks = _stocks(s.job, kept, reduced)
    if seconds > 0 and reduced.job.parts and stocks:
        deadline = Deadline(max(seconds / 2, seconds - (time.monotonic() - began)))

        def watch(p: Progress) -> None:
            if until(p):
                deadline.stop()

        result = plan_job(
            reduced.job, seed=seed, deadline=deadline, observer=watch, stocks=stocks, executor=executor, steps=steps
        )
        planned = [renamed(s.job, reduced, e) for e in result.plan.boards]
        why = {u.part: u.why for u in result.plan.unplaced}
        raw = result.history[-1].bound if result.history else None
        # Which parts good wood of spoiled pieces should serve was settled before: nothing is proven about other choices.
        bound = None if raw is None or bound is None or salvaged else bound + raw
    elif reduced.job.parts:
        bound = None
    boards = []
    for board in s.job.boards:
        mine = [e for e in planned if e.board == board.name]
        astray = homeless(kept.get(board.name), mine)
        why.update((p.part, ASTRAY) for e in astray for p in e.pieces)
        mine = [e for e in mine if e not in astray]
        entry = _entry(s, kept.get(board.name), mine, gone, offcuts_too and board.name not in salvaged, board.name)
        if entry is not None:
            boards.append(entry)
    return _finished(s, boards, why, bound)


def _entry(
    s: Standing, kept: Kept | None, mine: Sequence[BoardPlan], gone: frozenset[str], offcuts_too: bool, name: str
) -> BoardPlan | None:
    if kept is None:
        return priced(s.job, mine[0]) if mine else None
    before = s.benches[name].plan
    # A blank that may not be machined any more is out, though it may have held nothing but spent wood.
    whole = len(kept.blanks) == len(before.blanks)
    same = whole and not mine and offcuts_too and not any(p.piece in gone for p in before.pieces)
    if same and not any(spoils_offcut(kept.board, o) for o in before.offcuts if o.kept):
        return priced(s.job, before)
    return merge(s.job, kept, mine)


def _stocks(job: Job, kept: dict[str, Kept], reduced: Reduced) -> list[Stock]:
    """Free wood of boards that are cut, and whole boards, that a part still wanted may come from by what a tape shows."""
    stocks = []
    for board in job.boards:
        if board.name in job.leave:
            continue
        k = kept.get(board.name)
        mine = [whole_board(board, job)] if k is None or k.uncut else [f.stock for f in k.free if usable(job, f)]
        stocks += [s for s in mine if any(may_give(job.shop, s, p) for p in reduced.job.parts)]
    return stocks


def _base(job: Job, kept: dict[str, Kept]) -> float:
    """Net cost of the boards that are cut already if nothing more comes out of their free wood."""
    net = Fraction(0)
    for k in kept.values():
        if not k.uncut:
            still = priced(job, BoardPlan(k.board.name, Fraction(0), Fraction(0), (), k.blanks, (), k.offcuts))
            net += still.cost - still.credit - sum((f.stock.idle_credit for f in k.free), Fraction(0))
    return float(net)


def whole_parts(job: Job, boards: Sequence[BoardPlan]) -> dict[str, set[str]]:
    """Names of finished parts that are whole, by part; a glue-up counts once its staves are wide enough in all."""
    whole: dict[str, set[str]] = {}
    nets: dict[str, Fraction] = {}
    for entry in boards:
        for p in entry.pieces:
            part = job.part_named[p.part]
            base = whole_of(p.piece)
            if p.stave is not None:
                nets[base] = nets.get(base, Fraction(0)) + p.width - 2 * job.shop.allowances.edge
                if nets[base] < stave_width_needed(part, job.shop) - EPS:
                    continue
            whole.setdefault(p.part, set()).add(base)
    return whole


def _finished(s: Standing, boards: list[BoardPlan], why: dict[str, str], bound: float | None) -> WholePlan:
    """Whole groups only, faces that show, reasons and totals."""
    job = s.job
    while True:
        whole = whole_parts(job, boards)
        broken = {p.match for p in job.parts if p.match is not None and len(whole.get(p.name, ())) < p.qty}
        gone = frozenset(
            p.piece
            for e in boards
            for p in e.pieces
            if job.part_named[p.part].match in broken or whole_of(p.piece) not in whole.get(p.part, ())
        )
        if not gone:
            break
        none: frozenset[str] = frozenset()
        begun = {n: b.begun for n, b in s.benches.items()}
        boards = [without(job, e, gone, begun.get(e.board, none)) for e in boards]
    boards = with_lasting_names(job, s.plan, with_lasting_labels(job, s.plan, boards))
    boards = [shown(job, e) for e in boards if e.pieces or e.spoiled or any(c.state == "done" for c in e.cuts)]
    boards = list(thickened(job, boards, s.measured))
    missing = {p.name: p.qty - len(whole.get(p.name, ())) for p in job.parts if p.qty > len(whole.get(p.name, ()))}
    before = {u.part: u.why for u in s.plan.unplaced}
    reason = "no place was found for it in the wood that is left; more time (--seconds) may find one"
    unplaced = tuple(Unplaced(n, q, why.get(n) or before.get(n) or reason) for n, q in missing.items())
    figures = totals(job, boards, missing, None if missing else bound, 0.0)
    plan = replace(s.plan, boards=tuple(boards), unplaced=unplaced, totals=figures)
    return WholePlan(plan, sum(missing.values()), bound)


def shown(job: Job, entry: BoardPlan) -> BoardPlan:
    """The entry with the face that each part with one clear face shows now."""
    board = job.board_named[entry.board]
    pieces = tuple(
        p if p.state == "done" else replace(p, show=show_face(job, board, p, job.part_named[p.part])) for p in entry.pieces
    )
    return replace(entry, pieces=pieces)
