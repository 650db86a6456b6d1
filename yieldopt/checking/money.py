"""Rules 8xx: kept offcuts, cost, credit, and the totals that follow."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from fractions import Fraction
from math import isfinite

from yieldopt.checking.context import Context, base_name, rule
from yieldopt.checking.defects import in_layer
from yieldopt.checking.finding import Finding, finding
from yieldopt.checking.geometry import EPS, rect
from yieldopt.checking.view import View, label
from yieldopt.wood.lumber import SOUND_KINDS
from yieldopt.wood.plan import Offcut

# A plan may give its money in whole cents.
CENT = Fraction(1, 100)
# What a float of some hundred units of money may be off by; far below the sixth place that money is written with.
HAIR = Fraction(1, 10**9)
# Shares are reported with three or four places.
SHARE = 0.0005


@rule(801)
def kept_sizes(c: Context) -> Iterator[Finding]:
    v = c.job.shop.values
    for view in c.views:
        for o in view.kept:
            if o.length < v.offcut_min_length - EPS or o.width < v.offcut_min_width - EPS:
                least = f"{c.show(v.offcut_min_length)} x {c.show(v.offcut_min_width)} or more"
                yield finding(801, view.name, label(o), f"{c.show(o.length)} x {c.show(o.width)}", least)


@rule(802)
def kept_sound(c: Context) -> Iterator[Finding]:
    """Free of unsound defects, each as logged, in the layer that the offcut is of."""
    for view in c.views:
        for o in view.kept:
            for d in view.board.defects:
                if d.kind not in SOUND_KINDS and in_layer(d, o.layer, o.layers) and rect(d).overlaps(rect(o)):
                    yield finding(802, view.name, label(o), f"{d.kind} at x {c.show(d.x)}, y {c.show(d.y)}", "no unsound defect")


@rule(803)
def offcut_layers(c: Context) -> Iterator[Finding]:
    for view in c.views:
        for o in view.kept:
            if not 1 <= o.layer <= o.layers:
                yield finding(803, view.name, label(o), f"layer {o.layer} of {o.layers}", f"1 to {max(1, o.layers)}")
            elif o.layers > 1 and view.blank_round(o) is None:
                yield finding(803, view.name, label(o), f"layer {o.layer} of {o.layers}", "1 of 1 outside a resawn blank")


def kept_share(view: View) -> Fraction:
    """Area of the kept offcuts over the board's; milled wood counts at its layer's share of the nominal thickness."""

    def weight(o: Offcut) -> Fraction:
        blank = view.blank_round(o)
        if blank is None:
            return Fraction(int(o.layers == 1))
        if 1 <= o.layer <= len(blank.thicknesses):
            return blank.thicknesses[o.layer - 1] / view.board.nominal
        return Fraction(0)

    if not view.board.area:
        return Fraction(0)
    return sum((o.length * o.width * weight(o) for o in view.kept), Fraction(0)) / view.board.area


def _money(value: Fraction | float) -> str:
    return f"{float(value):.4f}".rstrip("0").rstrip(".")


@rule(811, 812)
def board_money(c: Context) -> Iterator[Finding]:
    for view in c.views:
        price = view.board.price
        if abs(view.plan.cost - price) > CENT:
            yield finding(811, view.name, "cost", _money(view.plan.cost), _money(price))
        credit = c.job.shop.values.offcut_credit * kept_share(view) * price
        if abs(view.plan.credit - credit) > CENT:
            yield finding(812, view.name, "credit", _money(view.plan.credit), _money(credit))


@rule(813, 815)
def totals(c: Context) -> Iterator[Finding]:
    t = c.plan.totals
    slack = float(CENT) * max(1, len(c.plan.boards))
    net = float(sum((b.cost - b.credit for b in c.plan.boards), Fraction(0)))
    # Comparisons are turned so that nan fails them.
    if not abs(t.net_cost - net) <= slack:
        yield finding(813, None, "totals, net_cost", t.net_cost, _money(net))
    if t.gap is not None:
        expected = None if t.bound is None or not t.net_cost else (t.net_cost - t.bound) / t.net_cost
        # Rounded money moves the share of a small cost more than that of a large one.
        if expected is None:
            if t.bound is None or not abs(t.gap) <= SHARE:
                yield finding(815, None, "totals, gap", t.gap, "none")
        elif not abs(t.gap - expected) <= SHARE + float(CENT) / abs(t.net_cost):
            yield finding(815, None, "totals, gap", t.gap, _money(expected))


def _rounding(written: float) -> Fraction:
    """Half a unit of the last place of an amount as it is written, in cents or finer: how far rounding may have moved it."""
    places = -int(Decimal(repr(written)).as_tuple().exponent)
    return Fraction(1, 2 * 10 ** max(2, places))


@rule(814)
def bound_below_cost(c: Context) -> Iterator[Finding]:
    """Held against the exact cost, not the rounded sums of the plan: what is proven leaves no cents to chance."""
    bound = c.plan.totals.bound
    if bound is None or not isfinite(bound):
        return
    net = sum(((1 - c.job.shop.values.offcut_credit * kept_share(v)) * v.board.price for v in c.views), Fraction(0))
    if Fraction(bound) > net + _rounding(bound) + HAIR:
        yield finding(814, None, "totals, bound", bound, f"{float(net):.6f} or less")


@rule(816)
def total_yield(c: Context) -> Iterator[Finding]:
    """Finished volume of the placed parts over the nominal volume of the boards cut less their kept offcuts."""
    used = sum(((1 - kept_share(v)) * v.board.area * v.board.nominal for v in c.views), Fraction(0))
    placed = {base_name(piece.piece): part for _, piece, part in c.pieces()}
    volume = sum((p.length * p.width * p.thickness for p in placed.values()), Fraction(0))
    expected = float(volume / used) if used > 0 else 0.0
    if not abs(c.plan.totals.yield_ - expected) <= SHARE:
        yield finding(816, None, "totals, yield", c.plan.totals.yield_, _money(expected))


@rule(817)
def boards_cut(c: Context) -> Iterator[Finding]:
    if c.plan.totals.boards_cut != len(c.plan.boards):
        yield finding(817, None, "totals, boards_cut", c.plan.totals.boards_cut, len(c.plan.boards))
