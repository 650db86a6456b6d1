"""The whole study of a job: shortage, ways, break-even, purchase, grades, wide parts. Gathers; other modules reckon."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import replace

from yieldopt.deadline import Deadline
from yieldopt.errors import UsageError
from yieldopt.lumber import Job, PriceLine
from yieldopt.sourcing.asked import Asked
from yieldopt.sourcing.cheaper import cheaper_lines
from yieldopt.sourcing.choosing import choose
from yieldopt.sourcing.classes import is_thick
from yieldopt.sourcing.confirm import confirm
from yieldopt.sourcing.grading import Group, groups, planned_rows, quick_rows
from yieldopt.sourcing.market import Market, best_lines, fewer_lines, line_figures
from yieldopt.sourcing.needs import LEAST, Basis, Needs, draw_needs
from yieldopt.sourcing.offered import priced
from yieldopt.sourcing.outcome import Outcome
from yieldopt.sourcing.picking import picked, picks_for
from yieldopt.sourcing.planned import plan_rack
from yieldopt.sourcing.planways import plan_ways, wants_for
from yieldopt.sourcing.purchase import by_thumb, joint, smallest
from yieldopt.sourcing.refused import why_none
from yieldopt.sourcing.shortfall import shortfalls
from yieldopt.sourcing.studied import BOTH_NAME, LOOSE_NAME, THICK_NAME, THIN_NAME, Bought, Study, Tested
from yieldopt.sourcing.wants import NONE_OVER, Want, line_makes, short_parts, unmatched, wants_of
from yieldopt.sourcing.ways import Way, quick_outcome, today
from yieldopt.sourcing.wide import Case, Wide, planned_wide, wide_cases, wide_parts
from yieldopt.workers.runner import Runner

Say = Callable[[str], None]
# Shares of the time: the rack's own plan; then, each of what is left: the choice among logged boards, the ways, the purchase,
# the grades.
CHOICE = 0.6
RACK, WAYS, PURCHASE, GRADES = 0.3, 0.22, 0.7, 0.6
# Quick draws of every way.
QUICK_DRAWS = 60
# Quick draws that show whether tested stock would change the answer.
TASTE = 8


def study(job: Job, asked: Asked, say: Say, deadline: Deadline | None = None, executor: Executor | None = None) -> Study:
    """Carry the study out within about `asked.seconds`; stopping `deadline` ends it with what has been found.

    Plans run on `executor`, by default a pool of processes. Raises `UsageError` where there is no price sheet.
    """
    from yieldopt.planning.warming import warm

    if not job.prices:
        raise UsageError("prices.csv: nothing to buy from; the job folder needs a dealer's price sheet")
    if not asked.rack:
        job = replace(job, boards=(), leave=frozenset(), pins=(), parts=tuple(replace(p, sources=()) for p in job.parts))
    offered = priced(asked.offered, job.prices)
    deadline = deadline or Deadline(asked.seconds)
    s = Study(job, asked)
    market = Market(job.prices, job.shop, asked.seed, asked.hidden, asked.stress, asked.own)
    with Runner(executor, plans=asked.steps, ready=warm) as runner:
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
            lambda: plan_ways(s, market, wants, runner, deadline.part(WAYS * deadline.left), _each(s, 60.0), say),
            lambda: _confirm(s, runner, deadline, say),
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
        s.rack = plan_rack(job, RACK * s.asked.seconds, s.asked.seed, deadline, s.asked.each_steps)
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
    s.not_offered = _refused(wants, thin, market, job)
    s.not_replaced = sorted({w.part for w in every} - set(thin) - set(s.not_offered)) if s.rack is not None else []
    s.shortfalls = shortfalls(market, () if s.whole_job else wants, thin, s.not_offered)
    differ = [w for w in wants if w.part in thin and thick[w.part] != thin[w.part]]
    if not differ and s.rack is not None and not s.whole_job:
        s.whole_job = True
        wants = every
        s.not_offered = _refused(wants, thin, market, job)
        differ = [w for w in wants if w.part in thin and thick[w.part] != thin[w.part]]
    wants = tuple(w for w in wants if w.part in thin)
    s.ways = [Way(THIN_NAME, thin, resaw=False)]
    if differ:
        s.ways += [Way(THICK_NAME, thick), Way(BOTH_NAME, thin, (thick, layers))]
        s.ratio_today = today(market, differ, thick, thin)
        s.resaws = any(line_makes(w, market.lines[thick[w.part]], job.shop, market.stress) > 1 for w in differ)
    if market.stress == "unknown":
        lines = [market.lines[k] for k in sorted(set(thick.values())) if is_thick(market.lines[k].nominal)]
        some = [w for w in wants if any(_stress_decides(w, line, job) for line in lines if line.species == w.species)]
        s.if_tested, s.sets_if_tested = ([w.part for w in some if (w.layers > 1) == sets] for sets in (False, True))
    loose = _loose_wants(s)
    if loose:
        more = line_figures(market, loose)
        s.ways.append(Way(LOOSE_NAME, best_lines(loose, more, market, "thin") | thin_of(thin, loose), resaw=False, matched=False))
    s.purchase_lines = thin
    if market.stress == "unknown" and thick and any(is_thick(market.lines[k].nominal) for k in thick.values()):
        s.if_all_tested = _if_tested(s, market, wants, every)
    return wants


def _if_tested(s: Study, market: Market, wants: Sequence[Want], every: Sequence[Want]) -> Tested | None:
    """The cheapest way by quick layouts as boards are, and were the 8/4 tested and flat: on the same few draws."""
    tested = replace(market, stress="tested")
    figures = line_figures(tested, every)
    thick = fewer_lines(best_lines(every, figures, tested, "thick"), every, figures, tested)
    mine = [w for w in wants if w.part in thick]
    now = _cheapest(s, market, s.ways)
    then = _mean([quick_outcome(tested, Way(THICK_NAME, thick), mine, d) for d in range(TASTE)])
    return None if now == float("inf") or then == float("inf") else Tested(THICK_NAME, now, then)


def _cheapest(s: Study, market: Market, ways: Sequence[Way]) -> float:
    single = [way for way in ways if not way.also and way.matched]
    return min(_mean([quick_outcome(market, way, wants_for(s, way), d) for d in range(TASTE)]) for way in single)


def _refused(wants: Sequence[Want], thin: Mapping[str, int], market: Market, job: Job) -> dict[str, str]:
    """Parts that no line makes, and why."""
    return {w.part: why_none(w, market, job.units) for w in sorted(wants, key=lambda w: w.part) if w.part not in thin}


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
    step = deadline.part(CHOICE * deadline.left)
    if s.asked.either:
        for name in s.asked.either:
            others = set(s.asked.either) - {name}
            some = [o for o in offered if o.board.name not in others]
            part = step.part(step.left / (len(s.asked.either) + 1))
            s.either[name] = choose(s.job, some, runner, part, s.asked.seed, say, s.rack, s.asked.each_steps, second=False)
    s.chosen = choose(s.job, offered, runner, step, s.asked.seed, say, s.rack, s.asked.each_steps)


def _buy(s: Study, market: Market, runner: Runner, deadline: Deadline, say: Say) -> None:
    """How much to buy, by quick layouts."""
    say("choosing lines to buy ahead from ...")
    step = deadline.part(0.08 * deadline.left)
    wanted = Basis.of(s.job, None, s.counts).on_sale(s.purchase_lines)
    s.purchase_lines = cheaper_lines(wanted, s.purchase_lines, market, s.asked.chance, runner, step)
    if s.asked.picked:
        say("looking for the least sizes worth picking ...")
        step = deadline.part(0.08 * deadline.left)
        s.picks = picks_for(wanted, s.purchase_lines, market, s.asked.chance, s.job.units, runner, step)
    s.bought = _purchase(s, market, Basis.of(s.job, s.rack, s.missing).on_sale(s.purchase_lines), runner, deadline, say)
    if s.whole_job and not deadline.stopped:
        whole = Basis.of(s.job, None, s.counts).on_sale(s.purchase_lines)
        s.bought_whole = _purchase(s, market, whole, runner, deadline, say)


def _purchase(s: Study, market: Market, basis: Basis, runner: Runner, deadline: Deadline, say: Say) -> Bought:
    say(f"making up boards for the purchase, {s.asked.draws} times ...")
    market = picked(market, s.picks)
    step = deadline.part(max(3.0, 0.15 * deadline.left))
    needs: Needs = draw_needs(basis, s.purchase_lines, market, s.asked.draws, step, runner)
    step = deadline.part(max(2.0, 0.08 * deadline.left))
    calm = draw_needs(basis, s.purchase_lines, market.without_surprises(), needs.draws, step, runner)
    thumb = by_thumb(basis, s.purchase_lines, market)
    found = smallest(needs, s.asked.chance, market)
    return Bought(basis, found, needs, thumb, joint(needs, thumb), market, s.picks, calm)


def _confirm(s: Study, runner: Runner, deadline: Deadline, say: Say) -> None:
    """The purchase by the planner: of the missing parts, or of the whole job where nothing is missing."""
    bought = s.bought if s.missing else s.bought_whole
    if bought is None or bought.purchase is None:
        return
    say("trying purchases with the planner ...")
    step = deadline.part(PURCHASE * deadline.left)
    bought.confirmed = confirm(
        bought.basis,
        bought.purchase,
        bought.needs,
        s.purchase_lines,
        bought.market,
        s.asked.chance,
        runner,
        step,
        _each(s, 30.0),
        say,
        s.asked.each_steps,
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
    for rows in planned_rows(s.job, market, some, s.grades, runner, step, _each(s, 6.0), s.asked.seed, s.asked.each_steps):
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
    for rows in planned_wide(s.job, cases, runner, deadline, _each(s, 6.0), s.asked.seed, s.asked.each_steps):
        s.wide = rows
