"""Real plans of every way to buy, draw after draw."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from yieldopt.ground.deadline import Deadline
from yieldopt.sourcing.asked import Asked
from yieldopt.sourcing.lay.wants import short_parts, unmatched
from yieldopt.sourcing.market.lines import Market
from yieldopt.sourcing.ways.buying import Buying, better, buy
from yieldopt.sourcing.ways.outcome import NOTHING, Outcome
from yieldopt.sourcing.ways.question import Question
from yieldopt.sourcing.ways.way import Way, boards_on_offer
from yieldopt.wood.lumber import Part
from yieldopt.workers.runner import Runner

# Draws planned at most with both stocks on offer, and the share of the ways' time kept for them once as many are compared.
BOTH_DRAWS, BOTH_SHARE = 4, 0.2
# Where plans are counted, the ways' share of them.
COUNTED = 0.3


def plan_ways(
    q: Question, asked: Asked, market: Market, runner: Runner, step: Deadline, each: float, say: Callable[[str], None]
) -> dict[tuple[int, int], Outcome]:
    """Real plans of every way, draw after draw, species by species, until the step's time is up: outcomes by (way, draw)."""
    species = sorted({w.species for w in q.wants})
    planned: dict[tuple[int, int], Outcome] = {}
    needed: dict[tuple[int, int], list[Buying]] = {}
    results: dict[Buying, Outcome] = {}

    def tasks() -> Iterator[tuple[Buying, Buying]]:
        begun: set[Buying] = set()
        compared, both = ([w for w, way in enumerate(q.ways) if bool(way.also) == also] for also in (False, True))
        yield from _new(compared, 0, begun)
        yield from _new(both, 0, begun)
        # Plans of the ways that are compared serve where both stocks are on offer, too.
        d = 1
        counted = asked.steps is not None
        while d < asked.draws and (d < BOTH_DRAWS or (not counted and step.left >= BOTH_SHARE * step.total)):
            yield from _new(compared, d, begun)
            d += 1
        for k in range(1, min(d, BOTH_DRAWS)):
            yield from _new(both, k, begun)
        # Where plans are counted, those left over.
        for k in range(d, asked.draws if counted else 0):
            yield from _new(compared, k, begun)

    def _new(some: Sequence[int], d: int, begun: set[Buying]) -> Iterator[tuple[Buying, Buying]]:
        for w in some:
            needed[w, d] = [_buying(q, asked, market, q.ways[w], sp, d, each) for sp in species]
        # Where ways agree on a species, one plan serves them all.
        for b in (b for plans in zip(*(needed[w, d] for w in some), strict=True) for b in plans):
            if b not in begun:
                begun.add(b)
                yield b, b

    for b, outcome in runner.run(buy, tasks(), step, each, COUNTED):
        results[b] = outcome
        for (w, d), some in list(needed.items()):
            # Whatever either way makes of its boards can be made where both are on offer.
            others = [needed[v, d] for v in (0, 1, w) if (v, d) in needed] if q.ways[w].also else [some]
            if (w, d) not in planned and all(x in results for same in others for x in same):
                best = [min((results[x] for x in same), key=better) for same in zip(*others, strict=True)]
                planned[w, d] = sum(best, NOTHING)
                say(f"planned: {q.ways[w].name}, trial {d + 1}; {step.left:.0f} s of it left")
    return planned


def _buying(q: Question, asked: Asked, market: Market, way: Way, species: str, draw: int, each: float) -> Buying:
    wants = [w for w in q.wants_for(way) if w.species == species]
    offer = boards_on_offer(market, way, wants, draw)
    needs = {way.line_of[w.part] for w in wants if w.layers > 1}
    thin = {d.board.name for d in boards_on_offer(market, q.ways[0], wants, draw).boards} if way.matched else set()
    whole: frozenset[str] = frozenset()
    if not way.resaw or {d.board.name for d in offer.boards} == thin:
        whole = frozenset(d.board.name for d in offer.boards if market.lines.index(d.line) not in needs)
    parts = tuple(p for p in short_parts(q.job, q.counts) if p.species == species and p.name not in q.not_offered)
    empty = replace(q.job, boards=(), prices=(), parts=())
    parts = offer.sources(parts if way.matched else unmatched(parts))
    alone = Buying(empty, parts, offer.boards, whole, each, asked.seed, asked.each_steps)
    rack = q.on_rack.plan
    if rack is None or q.whole_job:
        return alone
    on = {bp.board: float(bp.cost - bp.credit) for bp in rack.boards}
    boards = tuple(b for b in q.job.boards if b.species == species and b.name not in q.job.leave)
    mine: tuple[Part, ...] = tuple(
        replace(p, sources=()) if p.name in q.on_rack.missing else p
        for p in q.job.parts
        if p.species == species and p.name not in q.not_offered
    )
    return replace(
        alone,
        parts=mine if way.matched else unmatched(mine),
        rack=boards,
        rack_cost=sum(on.get(b.name, 0.0) for b in boards),
    )
