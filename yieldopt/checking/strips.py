"""Rules 205, 714 and 715: the strip for a stress test, where a plan keeps wood for one; and what a plan without one is told.

Stress across the grain is measured on a section about 1 in along the grain, of the board's full width and thickness, cut at
least 12 in from its end (https://www.woodworkingnetwork.com/magazine/fdmc-magazine/checking-casehardening).
"""

from __future__ import annotations

from collections.abc import Iterator

from yieldopt.checking.context import Context, rule
from yieldopt.checking.finding import Finding, finding
from yieldopt.checking.geometry import EPS
from yieldopt.checking.view import View, label
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import Cut, Plan, StressStrip

PLACE = "stress-test strip"


def _strips(c: Context) -> Iterator[tuple[View, StressStrip]]:
    for view in c.views:
        if view.plan.stress_strip is not None:
            yield view, view.plan.stress_strip


@rule(205)
def where_it_lies(c: Context) -> Iterator[Finding]:
    """As long as the shop asks for, that far from both ends."""
    a = c.job.shop.allowances
    for view, strip in _strips(c):
        end, least = strip.x + strip.length, a.stress_strip_from_end
        span = f"x {c.show(strip.x)} to {c.show(end)}"
        if strip.length < a.stress_strip - EPS or strip.length <= 0:
            yield finding(205, view.name, PLACE, f"{c.show(strip.length)} long", f"{c.show(a.stress_strip)} or more")
        elif strip.x < least - EPS or end > view.board.length - least + EPS:
            allowed = f"{c.show(least)} to {c.show(view.board.length - least)}"
            yield finding(205, view.name, PLACE, span, allowed)


@rule(714)
def nothing_in_it(c: Context) -> Iterator[Finding]:
    """It is cut right across the board: no blank, kept offcut or spent wood may reach into it."""
    for view, strip in _strips(c):
        for thing in view.solids:
            if thing.x < strip.x + strip.length - EPS and strip.x < thing.x + thing.length - EPS:
                there = f"x {c.show(thing.x)} to {c.show(thing.x + thing.length)}"
                yield finding(714, view.name, label(thing), there, "beside it")


@rule(715)
def cut_off_first(c: Context) -> Iterator[Finding]:
    """A crosscut on either side of it, before every other cut of the board but those that are made already."""
    for view, strip in _strips(c):
        sides = (strip.x + strip.length, strip.x)
        mine = [next((cut for cut in view.plan.cuts if _beside(cut, strip, n)), None) for n in (0, 1)]
        if None in mine:
            at = c.show(sides[mine.index(None)])
            yield finding(715, view.name, PLACE, f"no crosscut at {at}", "a rough crosscut on either side of it")
            continue
        last = max(cut.order for cut in mine if cut is not None)
        before = [cut for cut in view.plan.cuts if cut.order < last and cut not in mine]
        if before:
            cut = min(before, key=lambda k: k.order)
            yield finding(715, view.name, PLACE, f"cut {cut.order}, {cut.stage} {cut.kind}, comes before it", "cut off first")


def _beside(cut: Cut, strip: StressStrip, side: int) -> bool:
    """Whether the cut runs along the strip's far side (0) or near side (1)."""
    at = cut.at - strip.x - strip.length if side == 0 else cut.at + cut.kerf - strip.x
    return cut.stage == "rough" and cut.kind == "crosscut" and abs(at) <= EPS


def untested(job: Job, plan: Plan) -> tuple[str, ...]:
    """A line for each board that is resawn without a stress test, and without wood for one: no breach, but worth knowing."""
    if not job.shop.allowances.stress_strip:
        return ()
    return tuple(
        f"{b.board}: resawn, its stress is not known, and no wood is kept for a stress test"
        + (f" ({b.no_stress_strip})" if b.no_stress_strip else "")
        for b in plan.boards
        if b.stress_strip is None
        and any(k.layers > 1 for k in b.blanks)
        and b.board in job.board_named
        and job.board_named[b.board].stress == "unknown"
    )
