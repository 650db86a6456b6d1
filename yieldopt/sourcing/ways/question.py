"""What a study is about: the parts to be made, the ways of buying for them, and what no price line makes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from yieldopt.sourcing.lay.classes import is_thick
from yieldopt.sourcing.lay.wants import NONE_OVER, Want, line_makes, short_parts, unmatched, wants_of
from yieldopt.sourcing.market.lines import Liking, Market, best_lines, fewer_lines, line_figures
from yieldopt.sourcing.market.refused import why_none
from yieldopt.sourcing.market.shortfall import Shortfall, shortfalls
from yieldopt.sourcing.ways.way import Way, today
from yieldopt.wood.lumber import Job, PriceLine
from yieldopt.wood.plan import Plan

# Names of the ways.
THIN_NAME, THICK_NAME, BOTH_NAME = "thin stock, one layer", "8/4, resawn", "both on offer"
LOOSE_NAME = "thin stock, pairs not matched"


@dataclass(frozen=True)
class OnRack:
    """What the rack alone gives: its plan, None with an empty rack, and the parts still missing with it used up."""

    plan: Plan | None
    missing: Mapping[str, int]


@dataclass(frozen=True)
class Question:
    """What is to be made, and the ways to buy for it."""

    job: Job
    on_rack: OnRack
    # Whether the ways are for the missing parts, or for the whole job as if all were bought: where nothing is missing, and
    # where nothing that is missing could come from thin stock and from 8/4.
    whole_job: bool = False
    # What some line makes.
    wants: tuple[Want, ...] = ()
    # Parts to be made that no line of the sheets makes, and why; parts of the rack's plan that could not be bought again.
    not_offered: Mapping[str, str] = field(default_factory=dict)
    not_replaced: tuple[str, ...] = ()
    ways: tuple[Way, ...] = ()
    # Wood missing, as boards of the dealers' ranges would make it up.
    shortfalls: tuple[Shortfall, ...] = ()
    # The cheapest thin line by part, and whether any part may come from 8/4.
    thin: Mapping[str, int] = field(default_factory=dict)
    thick_on_sale: bool = False
    # Price of 8/4 over that of thin stock, per board foot, today; None where there are not both.
    ratio_today: float | None = None
    # Whether "8/4, resawn" resaws anything.
    resaws: bool = False
    # Parts that give more layers from 8/4 where it is tested and flat, and matched sets that come out only of such.
    if_tested: tuple[str, ...] = ()
    sets_if_tested: tuple[str, ...] = ()

    @property
    def counts(self) -> Mapping[str, int]:
        """How many of each part the ways are for."""
        return {p.name: p.qty for p in self.job.parts} if self.whole_job else self.on_rack.missing

    @property
    def area(self) -> float:
        """Finished face area of what the ways are to make, square feet."""
        counts = self.counts
        made = (p for p in self.job.parts if p.name not in self.not_offered)
        return sum(float(p.length * p.width) * counts.get(p.name, 0) for p in made) / 144

    def wants_for(self, way: Way) -> tuple[Want, ...]:
        """What a way has to make, of what some line can make."""
        parts = short_parts(self.job, self.counts)
        wants = wants_of(parts if way.matched else unmatched(parts), self.job.shop)
        return tuple(w for w in wants if w.part in way.line_of)


def every_want(job: Job) -> tuple[Want, ...]:
    """Of the whole job, whatever the rack gives."""
    return wants_of(short_parts(job, {p.name: p.qty for p in job.parts}), job.shop)


def lines_for(market: Market, every: Sequence[Want], *likings: Liking) -> list[Mapping[str, int]]:
    """For each liking (thin, thick, layers) the line to buy each part from, by part: of as few lines as cost no more."""
    figures = line_figures(market, every)
    return [fewer_lines(best_lines(every, figures, market, liking), every, figures, market) for liking in likings]


def question(job: Job, market: Market, on_rack: OnRack) -> Question:
    """The ways for what is missing; where nothing that is missing could come from both stocks, for the whole job."""
    every = every_want(job)
    thin, thick, layers = lines_for(market, every, "thin", "thick", "layers")
    asked = Question(job, on_rack, whole_job=on_rack.plan is not None and not on_rack.missing, thin=thin)
    wants = wants_of(short_parts(job, asked.counts), job.shop)
    refused = _refused(wants, thin, market, job)
    rest = () if on_rack.plan is None else tuple(sorted({w.part for w in every} - set(thin) - set(refused)))
    lacking = shortfalls(market, () if asked.whole_job else wants, thin, refused)
    if not _differ(wants, thin, thick) and on_rack.plan is not None and not asked.whole_job:
        asked, wants = replace(asked, whole_job=True), every
        refused = _refused(wants, thin, market, job)
    asked = replace(asked, not_offered=refused, not_replaced=rest, shortfalls=tuple(lacking))
    return _with_ways(asked, tuple(w for w in wants if w.part in thin), thick, layers, market)


def _with_ways(
    asked: Question, wants: tuple[Want, ...], thick: Mapping[str, int], layers: Mapping[str, int], market: Market
) -> Question:
    thin, shop = asked.thin, asked.job.shop
    differ = _differ(wants, thin, thick)
    ways = [Way(THIN_NAME, thin, resaw=False)]
    if differ:
        ways += [Way(THICK_NAME, thick), Way(BOTH_NAME, thin, (thick, layers))]
    if loose := _loose(asked):
        lines = best_lines(loose, line_figures(market, loose), market, "thin") | _thin_of(thin, loose)
        ways.append(Way(LOOSE_NAME, lines, resaw=False, matched=False))
    lone, sets = _stress_decides(wants, thick, market, asked.job)
    return replace(
        asked,
        wants=wants,
        ways=tuple(ways),
        ratio_today=today(market, differ, thick, thin) if differ else None,
        resaws=any(line_makes(w, market.lines[thick[w.part]], shop, market.stress) > 1 for w in differ),
        if_tested=lone,
        sets_if_tested=sets,
        thick_on_sale=any(is_thick(market.lines[k].nominal) for k in thick.values()),
    )


def _differ(wants: Sequence[Want], thin: Mapping[str, int], thick: Mapping[str, int]) -> list[Want]:
    """Those that could come from thin stock and from 8/4."""
    return [w for w in wants if w.part in thin and thick[w.part] != thin[w.part]]


def _refused(wants: Sequence[Want], thin: Mapping[str, int], market: Market, job: Job) -> dict[str, str]:
    """Parts that no line makes, and why."""
    return {w.part: why_none(w, market, job.units) for w in sorted(wants, key=lambda w: w.part) if w.part not in thin}


def _stress_decides(wants: Sequence[Want], thick: Mapping[str, int], market: Market, job: Job) -> list[tuple[str, ...]]:
    """Parts, and matched sets, for which it decides whether flat boards of nominal thickness are tested."""
    if market.stress != "unknown":
        return [(), ()]
    lines = [market.lines[k] for k in sorted(set(thick.values())) if is_thick(market.lines[k].nominal)]
    some = [w for w in wants if any(_needs_tested(w, line, job) for line in lines if line.species == w.species)]
    return [tuple(w.part for w in some if (w.layers > 1) == sets) for sets in (False, True)]


def _needs_tested(want: Want, line: PriceLine, job: Job) -> bool:
    """Whether flat boards of nominal thickness give more layers of it, or the set it needs, only where they are tested."""
    unknown, tested = (line_makes(want, line, job.shop, stress, over=NONE_OVER) for stress in ("unknown", "tested"))
    return tested > max(1, unknown)


def _thin_of(thin: Mapping[str, int], loose: Sequence[Want]) -> dict[str, int]:
    """Lines of the parts that were never matched: unchanged, so that the two ways differ in the matched ones alone."""
    names = {w.part for w in loose}
    return {part: line for part, line in thin.items() if part not in names}


def _loose(asked: Question) -> tuple[Want, ...]:
    """The wants of matched pairs and slips, each piece for itself; empty where there are none."""
    parts = short_parts(asked.job, asked.counts)
    some = tuple(p for p in parts if p.match_kind in ("book", "slip") and p.name not in asked.not_offered)
    return wants_of(unmatched(some), asked.job.shop)
