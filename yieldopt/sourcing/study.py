"""The whole study of a job: shortage, ways, break-even, purchase, grades, wide parts. Gathers; other modules reckon."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import replace

from yieldopt.deadline import Deadline
from yieldopt.errors import UsageError
from yieldopt.lumber import Job, Part, PriceLine
from yieldopt.sourcing.asked import Asked
from yieldopt.sourcing.cheaper import cheaper_lines
from yieldopt.sourcing.choosing import choose
from yieldopt.sourcing.confirm import confirm
from yieldopt.sourcing.grading import Group, groups, planned_rows, quick_rows
from yieldopt.sourcing.market import Market, best_lines, fewer_lines, line_figures
from yieldopt.sourcing.offered import priced
from yieldopt.sourcing.outcome import NOTHING, THICK, Outcome
from yieldopt.sourcing.planned import Buying, better, buy, plan_rack
from yieldopt.sourcing.purchase import LEAST, Basis, Needs, by_thumb, draw_needs, joint, smallest
from yieldopt.sourcing.runner import Runner
from yieldopt.sourcing.shortfall import shortfalls
from yieldopt.sourcing.studied import BOTH_NAME, LOOSE_NAME, THICK_NAME, THIN_NAME, Bought, Study
from yieldopt.sourcing.wants import NONE_OVER, Want, line_makes, short_parts, unmatched, wants_of
from yieldopt.sourcing.ways import Way, boards_on_offer, quick_outcome, today
from yieldopt.sourcing.wide import Case, Wide, planned_wide, wide_cases, wide_parts

Say = Callable[[str], None]
# Shares of the time: the rack's own plan; then, each of what is left: the choice among logged boards, the ways, the purchase,
# the grades.
CHOICE = 0.6
RACK, WAYS, PURCHASE, GRADES = 0.3, 0.22, 0.7, 0.6
# Quick draws of every way.
QUICK_DRAWS = 60
# Draws planned at most with both stocks on offer, and the share of the ways' time kept for them once as many are compared.
BOTH_DRAWS, BOTH_SHARE = 4, 0.2


def study(job: Job, asked: Asked, say: Say, deadline: Deadline | None = None, executor: Executor | None = None) -> Study:
    """Carry the study out within about `asked.seconds`; stopping `deadline` ends it with what has been found.

    Plans run on `executor`, by default a pool of processes. Raises `UsageError` where there is no price sheet.
    """
    if not job.prices:
        raise UsageError("prices.csv: nothing to buy from; the job folder needs a dealer's price sheet")
    if not asked.rack:
        job = replace(job, boards=(), leave=frozenset(), pins=(), parts=tuple(replace(p, sources=()) for p in job.parts))
    offered = priced(asked.offered, job.prices)
    deadline = deadline or Deadline(asked.seconds)
    s = Study(job, asked)
    market = Market(job.prices, job.shop, asked.seed, asked.hidden, asked.stress)
    with Runner(executor) as runner:
        runner.start()
        _shortage(s, deadline, say)
        wants = _choose(s, market, say)
        _quick(s, market, runner, deadline, say)
        some: list[Group] = []
        cases: list[tuple[Case | None, Wide]] = []
        # First every question by quick layouts, then again by plans as far as the time goes.
        steps: list[Callable[[], object]] = [
            lambda: _pick(s, offered, runner, deadline, say),
            lambda: _buy(s, market, runner, deadline, say),
            lambda: some.extend(_grades(s, market, runner, deadline, say)),
            lambda: cases.extend(_wide(s, market, runner, deadline, say)),
            lambda: _ways(s, market, wants, runner, deadline, say),
            lambda: _confirm(s, market, runner, deadline, say),
            lambda: _plan_grades(s, market, some, runner, deadline, say),
            lambda: _plan_wide(s, cases, runner, deadline, say),
        ]
        for step in steps:
            if not deadline.stopped:
                step()
    s.stopped = deadline.stopped
    s.seconds = deadline.elapsed
    return s


def _shortage(s: Study, deadline: Deadline, say: Say) -> None:
    job = s.job
    if not any(b.name not in job.leave for b in job.boards):
        s.missing = {p.name: p.qty for p in job.parts}
        return
    if s.asked.plan is not None:
        s.rack = s.asked.plan
    else:
        say("planning on the rack alone ...")
        s.rack = plan_rack(job, RACK * s.asked.seconds, s.asked.seed, deadline)
    s.missing = {u.part: u.qty for u in s.rack.unplaced}
    s.whole_job = not s.missing


def _choose(s: Study, market: Market, say: Say) -> tuple[Want, ...]:
    """Figures of the lines, the ways, and the wants that some line can make."""
    job = s.job
    say("comparing the price lines ...")
    parts = short_parts(job, {p.name: p.qty for p in job.parts})
    every = wants_of(parts, job.shop)
    figures = line_figures(market, every)
    thin, thick, layers = (
        fewer_lines(best_lines(every, figures, market, liking), every, figures, market) for liking in ("thin", "thick", "layers")
    )
    wants = wants_of(short_parts(job, s.counts), job.shop)
    s.not_offered = sorted({w.part for w in wants} - set(thin))
    s.shortfalls = shortfalls(market, () if s.whole_job else wants, thin)
    differ = [w for w in wants if w.part in thin and thick[w.part] != thin[w.part]]
    if not differ and s.rack is not None and not s.whole_job:
        s.whole_job = True
        wants = every
        s.not_offered = sorted({w.part for w in wants} - set(thin))
        differ = [w for w in wants if w.part in thin and thick[w.part] != thin[w.part]]
    wants = tuple(w for w in wants if w.part in thin)
    s.ways = [Way(THIN_NAME, thin, resaw=False)]
    if differ:
        s.ways += [Way(THICK_NAME, thick), Way(BOTH_NAME, thin, (thick, layers))]
        s.ratio_today = today(market, differ, thick, thin)
        s.resaws = any(line_makes(w, market.lines[thick[w.part]], job.shop, market.stress) > 1 for w in differ)
    if market.stress == "unknown":
        lines = [market.lines[k] for k in sorted(set(thick.values())) if market.lines[k].nominal == THICK]
        some = [w for w in wants if any(_stress_decides(w, line, job) for line in lines if line.species == w.species)]
        s.if_tested, s.sets_if_tested = ([w.part for w in some if (w.layers > 1) == sets] for sets in (False, True))
    loose = _loose_wants(s)
    if loose:
        more = line_figures(market, loose)
        s.ways.append(Way(LOOSE_NAME, best_lines(loose, more, market, "thin") | thin_of(thin, loose), resaw=False, matched=False))
    s.purchase_lines = thin
    return wants


def _stress_decides(want: Want, line: PriceLine, job: Job) -> bool:
    """Whether flat boards of nominal thickness give more layers of it, or the set it needs, only where they are tested."""
    unknown, tested = (line_makes(want, line, job.shop, stress, over=NONE_OVER) for stress in ("unknown", "tested"))
    return tested > max(1, unknown)


def thin_of(thin: Mapping[str, int], loose: Sequence[Want]) -> dict[str, int]:
    """Lines of the parts that were never matched: unchanged, so that the two ways differ in the matched ones alone."""
    names = {w.part for w in loose}
    return {part: line for part, line in thin.items() if part not in names}


def _loose_wants(s: Study) -> tuple[Want, ...]:
    """The wants of matched pairs and slips, each piece for itself; empty where there are none."""
    some = tuple(p for p in short_parts(s.job, s.counts) if p.match_kind in ("book", "slip") and p.name not in s.not_offered)
    return wants_of(unmatched(some), s.job.shop)


def wants_for(s: Study, way: Way) -> tuple[Want, ...]:
    """What a way has to make, of what some line can make."""
    parts = short_parts(s.job, s.counts)
    wants = wants_of(parts if way.matched else unmatched(parts), s.job.shop)
    return tuple(w for w in wants if w.part in way.line_of)


def quick_outcomes(task: tuple[Market, Sequence[tuple[int, Way, Sequence[Want]]], int]) -> dict[int, Outcome]:
    """Every way on one draw by quick layouts."""
    market, ways, draw = task
    return {w: quick_outcome(market, way, wants, draw) for w, way, wants in ways}


def _quick(s: Study, market: Market, runner: Runner, deadline: Deadline, say: Say) -> None:
    say("costing the options by quick layouts ...")
    single = [(w, way, wants_for(s, way)) for w, way in enumerate(s.ways) if not way.also]
    tasks = ((d, (market, single, d)) for d in range(min(s.asked.draws, QUICK_DRAWS)))
    done = dict(runner.run(quick_outcomes, tasks, deadline.part(max(3.0, 0.3 * deadline.left)), 0.0))
    # However short the time, a few draws of each way there must be.
    done |= {d: quick_outcomes((market, single, d)) for d in range(LEAST) if d not in done and not deadline.stopped}
    s.quick = [[done[d][w] for d in sorted(done) if w in done[d]] for w in range(len(s.ways))]
    thick = next((w for w, way in enumerate(s.ways) if way.name == THICK_NAME), None)
    if thick is not None and _mean(s.quick[thick]) < _mean(s.quick[0]):
        s.purchase_lines = s.ways[thick].line_of


def _mean(outcomes: Sequence[Outcome]) -> float:
    good = [o.cost.at(1) for o in outcomes if o.complete]
    return sum(good) / len(good) if good else float("inf")


def _pick(s: Study, offered: Sequence, runner: Runner, deadline: Deadline, say: Say) -> None:  # type: ignore[type-arg]
    if not offered:
        return
    say(f"choosing among {len(offered)} logged boards ...")
    s.chosen = choose(s.job, offered, runner, deadline.part(CHOICE * deadline.left), s.asked.seed, say, s.rack)


def _buy(s: Study, market: Market, runner: Runner, deadline: Deadline, say: Say) -> None:
    """How much to buy, by quick layouts."""
    say("choosing lines to buy ahead from ...")
    step = deadline.part(0.1 * deadline.left)
    wanted = Basis.of(s.job, None, s.counts)
    s.purchase_lines = cheaper_lines(wanted, s.purchase_lines, market, s.asked.chance, runner, step)
    s.bought = _purchase(s, market, Basis.of(s.job, s.rack, s.missing), runner, deadline, say)
    if s.whole_job and not deadline.stopped:
        s.bought_whole = _purchase(s, market, Basis.of(s.job, None, s.counts), runner, deadline, say)


def _purchase(s: Study, market: Market, basis: Basis, runner: Runner, deadline: Deadline, say: Say) -> Bought:
    say(f"trying purchases, {s.asked.draws} times ...")
    step = deadline.part(max(3.0, 0.15 * deadline.left))
    needs: Needs = draw_needs(basis, s.purchase_lines, market, s.asked.draws, step, runner)
    bundles = {k: float(line.bundle_bf) for k, line in enumerate(market.lines)}
    thumb = by_thumb(basis, s.purchase_lines, market)
    found = smallest(needs, s.asked.chance, bundles)
    return Bought(basis, found, needs, thumb, joint(needs, thumb))


def _confirm(s: Study, market: Market, runner: Runner, deadline: Deadline, say: Say) -> None:
    """The purchase by the planner: of the missing parts, or of the whole job where nothing is missing."""
    bought = s.bought if s.missing else s.bought_whole
    if bought is None or bought.purchase is None:
        return
    say("trying purchases with the planner ...")
    step = deadline.part(PURCHASE * deadline.left)
    bought.confirmed = confirm(
        bought.basis, bought.purchase, bought.needs, s.purchase_lines, market, s.asked.chance, runner, step, _each(s, 30.0), say
    )


def _each(s: Study, most: float) -> float:
    """Seconds for one plan of a step: more where there is more time."""
    return max(2.0, min(most, s.asked.seconds / 15))


def _grades(s: Study, market: Market, runner: Runner, deadline: Deadline, say: Say) -> list[Group]:
    """Grades by quick layouts; what there is to plan."""
    say("comparing the grades ...")
    some = groups(market, [p for p in s.job.parts if p.name not in s.not_offered])
    s.grades = quick_rows(market, some, runner, deadline.part(max(3.0, 0.2 * deadline.left)))
    return some


def _plan_grades(s: Study, market: Market, some: list[Group], runner: Runner, deadline: Deadline, say: Say) -> None:
    say("planning the grades ...")
    step = deadline.part(GRADES * deadline.left)
    for rows in planned_rows(s.job, market, some, s.grades, runner, step, _each(s, 6.0), s.asked.seed):
        s.grades = rows


def _wide(s: Study, market: Market, runner: Runner, deadline: Deadline, say: Say) -> list[tuple[Case | None, Wide]]:
    """Wide parts by quick layouts; what there is to plan."""
    if not wide_parts(s.job):
        return []
    say("costing wide parts ...")
    cases = wide_cases(s.job, market, runner, deadline.part(max(3.0, 0.2 * deadline.left)))
    s.wide = [row for _, row in cases]
    return cases


def _plan_wide(s: Study, cases: list[tuple[Case | None, Wide]], runner: Runner, deadline: Deadline, say: Say) -> None:
    say("planning wide parts ...")
    for rows in planned_wide(s.job, cases, runner, deadline, _each(s, 6.0), s.asked.seed):
        s.wide = rows


def _ways(s: Study, market: Market, wants: Sequence[Want], runner: Runner, deadline: Deadline, say: Say) -> None:
    """Real plans of every way, draw after draw, species by species, until the step's time is up."""
    step = deadline.part(WAYS * deadline.left)
    each = _each(s, 60.0)
    species = sorted({w.species for w in wants})
    needed: dict[tuple[int, int], list[Buying]] = {}
    results: dict[Buying, Outcome] = {}

    def tasks() -> Iterator[tuple[Buying, Buying]]:
        asked: set[Buying] = set()
        compared, both = ([w for w, way in enumerate(s.ways) if bool(way.also) == also] for also in (False, True))
        yield from _new(compared, 0, asked)
        yield from _new(both, 0, asked)
        # Plans of the ways that are compared serve where both stocks are on offer, too.
        d = 1
        while d < s.asked.draws and (d < BOTH_DRAWS or step.left >= BOTH_SHARE * step.total):
            yield from _new(compared, d, asked)
            d += 1
        for k in range(1, min(d, BOTH_DRAWS)):
            yield from _new(both, k, asked)

    def _new(some: Sequence[int], d: int, asked: set[Buying]) -> Iterator[tuple[Buying, Buying]]:
        for w in some:
            needed[w, d] = [_buying(s, market, s.ways[w], sp, d, each) for sp in species]
        # Where ways agree on a species, one plan serves them all.
        for b in (b for plans in zip(*(needed[w, d] for w in some), strict=True) for b in plans):
            if b not in asked:
                asked.add(b)
                yield b, b

    for b, outcome in runner.run(buy, tasks(), step, each):
        results[b] = outcome
        for (w, d), some in list(needed.items()):
            # Whatever either way makes of its boards can be made where both are on offer.
            others = [needed[v, d] for v in (0, 1, w) if (v, d) in needed] if s.ways[w].also else [some]
            if (w, d) not in s.planned and all(x in results for same in others for x in same):
                best = [min((results[x] for x in same), key=better) for same in zip(*others, strict=True)]
                s.planned[w, d] = sum(best, NOTHING)
                say(f"planned: {s.ways[w].name}, trial {d + 1}; {deadline.left:.0f} s left")


def _buying(s: Study, market: Market, way: Way, species: str, draw: int, each: float) -> Buying:
    wants = [w for w in wants_for(s, way) if w.species == species]
    offer = boards_on_offer(market, way, wants, draw)
    needs = {way.line_of[w.part] for w in wants if w.layers > 1}
    thin = {d.board.name for d in boards_on_offer(market, s.ways[0], wants, draw).boards} if way.matched else set()
    whole: frozenset[str] = frozenset()
    if not way.resaw or {d.board.name for d in offer.boards} == thin:
        whole = frozenset(d.board.name for d in offer.boards if market.lines.index(d.line) not in needs)
    parts = tuple(p for p in short_parts(s.job, s.counts) if p.species == species and p.name not in s.not_offered)
    empty = replace(s.job, boards=(), prices=(), parts=())
    parts = offer.sources(parts if way.matched else unmatched(parts))
    alone = Buying(empty, parts, offer.boards, whole, each, s.asked.seed)
    if s.rack is None or s.whole_job:
        return alone
    on = {bp.board: float(bp.cost - bp.credit) for bp in s.rack.boards}
    rack = tuple(b for b in s.job.boards if b.species == species and b.name not in s.job.leave)
    mine: tuple[Part, ...] = tuple(
        replace(p, sources=()) if p.name in s.missing else p
        for p in s.job.parts
        if p.species == species and p.name not in s.not_offered
    )
    return replace(
        alone,
        parts=mine if way.matched else unmatched(mine),
        rack=rack,
        rack_cost=sum(on.get(b.name, 0.0) for b in rack),
    )
