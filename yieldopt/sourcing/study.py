"""The whole study of a job: shortage, ways, break-even, grades, purchase. Gathers; the other modules reckon."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from dataclasses import dataclass, field, replace
from multiprocessing import get_context

from yieldopt.deadline import Deadline
from yieldopt.errors import UsageError
from yieldopt.lumber import Job
from yieldopt.plan import Plan
from yieldopt.sourcing.market import LineFigure, Market, best_lines, fewer_lines, line_figures
from yieldopt.sourcing.purchase import Purchase, by_thumb, draw_needs, joint, smallest
from yieldopt.sourcing.wants import Want, short_parts, wants_of
from yieldopt.sourcing.ways import NOTHING, Outcome, Way, boards_on_offer, plan_outcome, quick_outcome, today

Say = Callable[[str], None]
WORKERS = 2
THIN_NAME, THICK_NAME, BOTH_NAME = "thin stock, one layer", "8/4, resawn", "both on offer"


@dataclass(frozen=True)
class Asked:
    """What the user asks of the study."""

    seconds: float = 120.0
    seed: int = 0
    chance: float = 0.95
    draws: int = 200
    hidden: float = 0.02
    stress: str = "unknown"


@dataclass
class Study:
    """Everything found, filled step by step, so that a stop leaves what there is."""

    job: Job
    asked: Asked
    # The plan on the rack alone; None with an empty rack.
    rack: Plan | None = None
    # Parts still missing with the rack used up; empty: the rack has enough.
    missing: dict[str, int] = field(default_factory=dict)
    # Whether the ways are for the missing parts, or for the whole job as if all were bought.
    whole_job: bool = False
    figures: list[LineFigure] = field(default_factory=list)
    not_offered: list[str] = field(default_factory=list)
    ways: list[Way] = field(default_factory=list)
    # Quick outcomes by way and draw; planned ones by (way, draw).
    quick: list[list[Outcome]] = field(default_factory=list)
    planned: dict[tuple[int, int], Outcome] = field(default_factory=dict)
    # Price of 8/4 over that of thin stock, per board foot, today; None where there are not both.
    ratio_today: float | None = None
    purchase: Purchase | None = None
    purchase_lines: Mapping[str, int] = field(default_factory=dict)
    hopeless: int = 0
    thumb: dict[int, float] = field(default_factory=dict)
    thumb_chance: float | None = None
    seconds: float = 0.0
    stopped: bool = False

    @property
    def area(self) -> float:
        """Finished face area of what the ways are to make, square feet."""
        counts = self.counts
        return (
            sum(float(p.length * p.width) * counts.get(p.name, 0) for p in self.job.parts if p.name not in self.not_offered) / 144
        )

    @property
    def counts(self) -> dict[str, int]:
        return {p.name: p.qty for p in self.job.parts} if self.whole_job else self.missing


def study(job: Job, asked: Asked, say: Say) -> Study:
    """Carry the study out within about `asked.seconds`; Ctrl-C ends it with what has been found.

    Raises `UsageError` where there is no price sheet.
    """
    if not job.prices:
        raise UsageError("prices.csv: nothing to buy from; the job folder needs a dealer's price sheet")
    deadline = Deadline(asked.seconds)
    s = Study(job, asked)
    market = Market(job.prices, job.shop, asked.seed, asked.hidden, asked.stress)
    try:
        _shortage(s, deadline, say)
        wants = _choose(s, market, say)
        _quick(s, market, wants, say)
        _buy(s, market, deadline, say)
        _plans(s, market, wants, deadline, say)
    except KeyboardInterrupt:
        s.stopped = True
        say("stopped: what has been found so far follows")
    s.seconds = deadline.elapsed
    return s


def _shortage(s: Study, deadline: Deadline, say: Say) -> None:
    job = s.job
    if not any(b.name not in job.leave for b in job.boards):
        s.missing = {p.name: p.qty for p in job.parts}
        return
    from yieldopt.checked import plan_checked

    say("planning on the rack alone ...")
    s.rack = plan_checked(job, seconds=0.35 * s.asked.seconds, seed=s.asked.seed).plan
    s.missing = {u.part: u.qty for u in s.rack.unplaced}
    s.whole_job = not s.missing


def _choose(s: Study, market: Market, say: Say) -> tuple[Want, ...]:
    """Figures of the lines, the ways, and the wants that some line can make."""
    job = s.job
    say("weighing the price lines ...")
    every = wants_of(short_parts(job, {p.name: p.qty for p in job.parts}), job.shop)
    s.figures = line_figures(market, every)
    thin, thick = (fewer_lines(best_lines(every, s.figures, market, k), every, s.figures, market) for k in (False, True))
    wants = wants_of(short_parts(job, s.counts), job.shop)
    s.not_offered = sorted({w.part for w in wants} - set(thin))
    wants = tuple(w for w in wants if w.part in thin)
    s.ways = [Way(THIN_NAME, thin)]
    differ = [w for w in wants if thick[w.part] != thin[w.part]]
    if differ:
        s.ways += [Way(THICK_NAME, thick), Way(BOTH_NAME, thin, thick)]
        above, below = today(market, [thick[w.part] for w in differ]), today(market, [thin[w.part] for w in differ])
        s.ratio_today = float(above / below) if above and below else None
    s.purchase_lines = thin
    return wants


def _quick(s: Study, market: Market, wants: Sequence[Want], say: Say) -> None:
    say("costing the ways by quick layouts ...")
    draws = min(s.asked.draws, 60)
    s.quick = [[quick_outcome(market, way, wants, d)[0] for d in range(draws)] for way in s.ways if way.also is None]
    if len(s.quick) == 2 and _mean(s.quick[1]) < _mean(s.quick[0]):
        s.purchase_lines = s.ways[1].line_of


def _mean(outcomes: Sequence[Outcome]) -> float:
    good = [o.cost.at(1) for o in outcomes if o.complete]
    return sum(good) / len(good) if good else float("inf")


def _buy(s: Study, market: Market, deadline: Deadline, say: Say) -> None:
    """How much to buy; the draws are fresh ones, since the lines were chosen on the others."""
    say(f"drawing boards for the purchase, {s.asked.draws} times ...")
    lines = s.purchase_lines
    needs = draw_needs(s.job, s.rack, s.missing, lines, market, s.asked.draws, Deadline(max(5.0, 0.4 * deadline.left)))
    s.hopeless = needs.hopeless
    s.purchase = smallest(needs, s.asked.chance)
    s.thumb = by_thumb(s.job, s.missing, lines, market)
    s.thumb_chance = joint(needs, s.thumb)


def _plans(s: Study, market: Market, wants: Sequence[Want], deadline: Deadline, say: Say) -> None:
    """Real plans of every way, draw after draw, species by species, until the time is up."""
    parts = [p for p in short_parts(s.job, s.counts) if p.name not in s.not_offered]
    species = sorted({p.species for p in parts})
    each = max(3.0, min(15.0, s.asked.seconds / 10))
    pool = ProcessPoolExecutor(WORKERS, get_context("spawn"), _ignore_interrupts)
    running: dict[Future[Outcome], tuple[int, int]] = {}
    sums: dict[tuple[int, int], list[Outcome]] = {}
    tasks = ((w, d, sp) for d in range(s.asked.draws) for w in range(len(s.ways)) for sp in species)
    try:
        while True:
            while len(running) < WORKERS and deadline.left > 1 + each / 2 and (task := next(tasks, None)) is not None:
                w, d, sp = task
                some = [p for p in parts if p.species == sp]
                offer = boards_on_offer(market, s.ways[w], [x for x in wants if x.species == sp], d)
                one_job = replace(s.job, boards=(), prices=())
                running[pool.submit(plan_outcome, one_job, some, offer, each, s.asked.seed, w > 0)] = (w, d)
            if not running:
                return
            done, _ = wait(running, timeout=deadline.left + 3 * each, return_when=FIRST_COMPLETED)
            if not done:
                return
            for f in done:
                key = running.pop(f)
                sums.setdefault(key, []).append(f.result())
                if len(sums[key]) == len(species):
                    s.planned[key] = sum(sums[key], NOTHING)
                    say(f"planned: {s.ways[key[0]].name}, draw {key[1] + 1}; {deadline.left:.0f} s left")
    finally:
        _end(pool)


def _ignore_interrupts() -> None:
    import signal

    signal.signal(signal.SIGINT, signal.SIG_IGN)


def _end(pool: ProcessPoolExecutor) -> None:
    """Let go of the pool at once: a plan in its last seconds is of no use any more."""
    workers = list((getattr(pool, "_processes", None) or {}).values())
    pool.shutdown(wait=False, cancel_futures=True)
    for worker in workers:
        worker.terminate()
