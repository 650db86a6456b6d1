"""Rules 701 to 706, 710 to 713: each cut by itself and in its place in the order."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from fractions import Fraction

from yieldopt.checking.context import Context, rule
from yieldopt.checking.finding import Finding, finding
from yieldopt.checking.geometry import EPS, rect
from yieldopt.checking.sawing import through, well_formed
from yieldopt.checking.view import Solid, Thing, View, label
from yieldopt.wood.plan import Blank, Cut


def _name(cut: Cut) -> str:
    return f"cut {cut.order}, {cut.stage} {cut.kind}"


def _extent(c: Context, cut: Cut) -> str:
    return f"from {c.show(cut.start)} to {c.show(cut.end)}"


@rule(701)
def one_order(c: Context) -> Iterator[Finding]:
    for view in c.views:
        for order, times in Counter(cut.order for cut in view.plan.cuts).items():
            if times > 1:
                yield finding(701, view.name, f"cut {order}", f"{times} times", "once")


@rule(702)
def stage_and_kind(c: Context) -> Iterator[Finding]:
    for view in c.views:
        for cut in view.plan.cuts:
            if not well_formed(view, cut):
                there = f"{cut.stage} {cut.kind} in blank {cut.blank}, layer {cut.layer}"
                wanted = "rough crosscuts and rips in no blank; resaw cuts of a blank; final cuts of a blank or layer"
                yield finding(702, view.name, f"cut {cut.order}", there, wanted)


@rule(703)
def kerf_of_the_saw(c: Context) -> Iterator[Finding]:
    kerf = c.job.shop.kerf
    saws = {"crosscut": kerf.crosscut, "rip": kerf.rip, "resaw": kerf.resaw}
    for view in c.views:
        for cut in view.plan.cuts:
            if abs(cut.kerf - saws[cut.kind]) > EPS:
                yield finding(703, view.name, _name(cut), c.show(cut.kerf), c.show(saws[cut.kind]))


@rule(704, 705)
def through_cuts(c: Context) -> Iterator[Finding]:
    """Each crosscut and rip goes through one piece of wood, from edge to edge, as it is when the cut's turn comes."""
    for view in c.views:
        sawn = c.sawn(view)
        for cut in sawn.in_air:
            yield finding(704, view.name, _name(cut), f"at {c.show(cut.at)}, {_extent(c, cut)}", "a cut in wood")
        seen: set[tuple[Cut, tuple[Fraction, Fraction]]] = set()
        for cut, line in sawn.not_through:
            if (cut, line) not in seen:
                seen.add((cut, line))
                wanted = f"{c.show(line[0])} to {c.show(line[1])}, one piece of wood"
                yield finding(705, view.name, _name(cut), _extent(c, cut), wanted)


@rule(706)
def through_nothing_whole(c: Context) -> Iterator[Finding]:
    for view in c.views:
        for cut in view.plan.cuts:
            if cut.kind == "resaw" or not well_formed(view, cut):
                continue
            inside = [t for t in view.things_in.get(cut.blank or "", ()) if cut.layer in (None, t.layer)]
            others: tuple[Solid | Thing, ...] = view.solids if cut.blank is None else tuple(inside)
            for thing in others:
                if through(cut, rect(thing)):
                    yield finding(706, view.name, _name(cut), label(thing), "cuts beside it")


@rule(709)
def shop_order(c: Context) -> Iterator[Finding]:
    """Rough cuts free a blank before it is resawn, and it is resawn before it is cut to pieces."""
    for view in c.views:
        sawn = c.sawn(view)
        for name, blank in view.blanks.items():
            region = sawn.region_round(rect(blank))
            inside = [cut for cut in view.plan.cuts if cut.blank == name and well_formed(view, cut)]
            rough = [cut.order for cut in (region.cuts if region else ())]
            resaw = [cut.order for cut in inside if cut.stage == "resaw"]
            for cut in inside:
                late = [o for o in rough + (resaw if cut.stage == "final" else []) if o > cut.order]
                if late:
                    yield finding(709, view.name, _name(cut), f"before cut {max(late)}", f"after cut {max(late)}")


@rule(705, 710)
def inside_its_blank(c: Context) -> Iterator[Finding]:
    for view in c.views:
        for cut in view.plan.cuts:
            if cut.blank is None or not well_formed(view, cut):
                continue
            blank = view.blanks[cut.blank]
            low, high = (blank.y, blank.y + blank.width) if cut.kind == "crosscut" else (blank.x, blank.x + blank.length)
            if cut.start < low - EPS or cut.end > high + EPS:
                yield finding(710, view.name, _name(cut), _extent(c, cut), f"{c.show(low)} to {c.show(high)}")
            elif cut.kind == "resaw" and (cut.start > low + EPS or cut.end < high - EPS):
                yield finding(705, view.name, _name(cut), _extent(c, cut), f"{c.show(low)} to {c.show(high)}")


def resaw_depths(c: Context, view: View, blank: Blank) -> list[Fraction]:
    """Where each resaw cut lies below the flattened A face, on its side nearer that face."""
    a = c.job.shop.allowances
    spare = a.tested_spare if view.board.stress == "tested" else a.resaw_spare
    return [
        sum(blank.thicknesses[:i], Fraction(0)) + (2 * i - 1) * a.sawn_face + (i - 1) * c.job.shop.kerf.resaw + i * spare
        for i in range(1, len(blank.thicknesses))
    ]


@rule(711, 712)
def resaw_cuts(c: Context) -> Iterator[Finding]:
    for view in c.views:
        for name, blank in view.blanks.items():
            made = [cut for cut in view.plan.cuts if cut.blank == name and cut.kind == cut.stage == "resaw"]
            made.sort(key=lambda cut: cut.at)
            wanted = resaw_depths(c, view, blank)
            if len(made) != len(wanted):
                yield finding(711, view.name, label(blank), f"{len(made)} resaw cuts", str(len(wanted)))
                continue
            for cut, at in zip(made, wanted, strict=True):
                if abs(cut.at - at) > EPS:
                    yield finding(712, view.name, _name(cut), c.show(cut.at), c.show(at))


@rule(713)
def done_in_turn(c: Context) -> Iterator[Finding]:
    for view in c.views:
        seen: set[int] = set()
        for cut, before in c.sawn(view).needed:
            waiting = [k.order for k in before if k.state != "done" and k.order < cut.order]
            if cut.state == "done" and waiting and cut.order not in seen:
                seen.add(cut.order)
                yield finding(713, view.name, _name(cut), f"done, cut {waiting[0]} not", f"cut {waiting[0]} done first")
