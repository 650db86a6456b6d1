"""Real plans of every way to buy, draw after draw."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from yieldopt.deadline import Deadline
from yieldopt.lumber import Part
from yieldopt.sourcing.market import Market
from yieldopt.sourcing.outcome import NOTHING, Outcome
from yieldopt.sourcing.planned import Buying, better, buy
from yieldopt.sourcing.studied import Study
from yieldopt.sourcing.wants import Want, short_parts, unmatched, wants_of
from yieldopt.sourcing.ways import Way, boards_on_offer
from yieldopt.workers.runner import Runner

# Draws planned at most with both stocks on offer, and the share of the ways' time kept for them once as many are compared.
BOTH_DRAWS, BOTH_SHARE = 4, 0.2
# Where plans are counted, the ways' share of them.
COUNTED = 0.3


def wants_for(s: Study, way: Way) -> tuple[Want, ...]:
    """What a way has to make, of what some line can make."""
    parts = short_parts(s.job, s.counts)
    wants = wants_of(parts if way.matched else unmatched(parts), s.job.shop)
    return tuple(w for w in wants if w.part in way.line_of)


def plan_ways(
    s: Study, market: Market, wants: Sequence[Want], runner: Runner, step: Deadline, each: float, say: Callable[[str], None]
) -> None:
    """Real plans of every way, draw after draw, species by species, until the step's time is up."""
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
        counted = s.asked.steps is not None
        while d < s.asked.draws and (d < BOTH_DRAWS or (not counted and step.left >= BOTH_SHARE * step.total)):
            yield from _new(compared, d, asked)
            d += 1
        for k in range(1, min(d, BOTH_DRAWS)):
            yield from _new(both, k, asked)
        # Where plans are counted, those left over.
        for k in range(d, s.asked.draws if counted else 0):
            yield from _new(compared, k, asked)

    def _new(some: Sequence[int], d: int, asked: set[Buying]) -> Iterator[tuple[Buying, Buying]]:
        for w in some:
            needed[w, d] = [_buying(s, market, s.ways[w], sp, d, each) for sp in species]
        # Where ways agree on a species, one plan serves them all.
        for b in (b for plans in zip(*(needed[w, d] for w in some), strict=True) for b in plans):
            if b not in asked:
                asked.add(b)
                yield b, b

    for b, outcome in runner.run(buy, tasks(), step, each, COUNTED):
        results[b] = outcome
        for (w, d), some in list(needed.items()):
            # Whatever either way makes of its boards can be made where both are on offer.
            others = [needed[v, d] for v in (0, 1, w) if (v, d) in needed] if s.ways[w].also else [some]
            if (w, d) not in s.planned and all(x in results for same in others for x in same):
                best = [min((results[x] for x in same), key=better) for same in zip(*others, strict=True)]
                s.planned[w, d] = sum(best, NOTHING)
                say(f"planned: {s.ways[w].name}, trial {d + 1}; {step.left:.0f} s of it left")


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
    alone = Buying(empty, parts, offer.boards, whole, each, s.asked.seed, s.asked.each_steps)
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
