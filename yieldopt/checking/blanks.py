"""Rules 3xx: what the machines ask of a blank, and the thickness that warp leaves it."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from yieldopt.checking.context import Context, rule
from yieldopt.checking.finding import Finding, finding
from yieldopt.checking.geometry import EPS, rect
from yieldopt.checking.view import View, label
from yieldopt.wood.lumber import THROWN_KINDS
from yieldopt.wood.plan import Blank


@rule(301, 302, 303, 304)
def machine_limits(c: Context) -> Iterator[Finding]:
    m = c.job.shop.machines
    for view, blank in _blanks(c):
        place, width = label(blank), c.show(blank.width)
        if blank.length < m.min_mill_length - EPS:
            yield finding(301, view.name, place, c.show(blank.length), f"{c.show(m.min_mill_length)} or more")
        if blank.width < m.min_rip_width - EPS:
            yield finding(302, view.name, place, width, f"{c.show(m.min_rip_width)} or more")
        if blank.width > m.planer_width + EPS:
            yield finding(303, view.name, place, width, f"{c.show(m.planer_width)} or less")
        if m.wide_flattening == "none" and blank.width > m.joint_width + EPS:
            yield finding(304, view.name, place, width, f"{c.show(m.joint_width)} or less")


@rule(305, 306)
def resawing(c: Context) -> Iterator[Finding]:
    height = c.job.shop.machines.resaw_height
    for view, blank in _blanks(c):
        if blank.layers > 1 and blank.width > height + EPS:
            yield finding(305, view.name, label(blank), c.show(blank.width), f"{c.show(height)} or less")
        if blank.layers > 1 and view.board.stress == "no resaw":
            yield finding(306, view.name, label(blank), f"{blank.layers} layers", "1 layer")


@rule(307)
def thin_layers(c: Context) -> Iterator[Finding]:
    least = c.job.shop.machines.min_thickness
    for view, blank in _blanks(c):
        for i, thickness in enumerate(blank.thicknesses, 1):
            if thickness < least - EPS:
                yield finding(307, view.name, f"{label(blank)}, layer {i}", c.show(thickness), f"{c.show(least)} or more")


def thickness_needed(c: Context, view: View, blank: Blank) -> Fraction:
    """Rough thickness that flattening, resawing and planing to the blank's layers takes, in inches."""
    a, n = c.job.shop.allowances, len(blank.thicknesses)
    need = sum(blank.thicknesses, Fraction(0)) + 2 * a.face + (n - 1) * (c.job.shop.kerf.resaw + 2 * a.sawn_face)
    if n > 1:
        need += n * (a.tested_spare if view.board.stress == "tested" else a.resaw_spare)
    return need


def thickness_left(view: View, blank: Blank) -> Fraction:
    """What bow, cup and twist leave of the board's thickness over this blank: sagittae of shallow arcs grow with the
    square of the chord; twist is shared by both diagonals."""
    b = view.board
    along, across = blank.length / b.length, blank.width / b.greatest_width
    return b.thickness - b.bow * along**2 - b.cup * across**2 - b.twist * along * across / 2


@rule(308)
def thickness(c: Context) -> Iterator[Finding]:
    for view, blank in _blanks(c):
        need, left = thickness_needed(c, view, blank), thickness_left(view, blank)
        if need > left + EPS:
            yield finding(308, view.name, label(blank), f"{c.show(need)} needed", f"{c.show(left)} left after warp")


@rule(310)
def thrown(c: Context) -> Iterator[Finding]:
    """No loose knot or split in a blank: the logged rectangle, and what a split may run on beyond it along the grain.
    Blanks that hold a done piece are excused."""
    runs_on = {"split": c.job.shop.allowances.split_along}
    for view, blank in _blanks(c):
        if any(p.state == "done" for p in view.plan.pieces if p.blank == blank.blank):
            continue
        for defect in view.board.defects:
            reach = rect(defect).grown(runs_on.get(defect.kind, Fraction(0)), Fraction(0))
            if defect.kind in THROWN_KINDS and reach.overlaps(rect(blank)):
                at = f"{defect.kind} at x {c.show(defect.x)}, y {c.show(defect.y)}"
                yield finding(310, view.name, label(blank), at, "none in a blank")


@rule(311)
def empty_layers(c: Context) -> Iterator[Finding]:
    for view, blank in _blanks(c):
        held = {t.layer for t in view.things_in[blank.blank]}
        for layer in range(1, len(blank.thicknesses) + 1):
            if layer not in held:
                yield finding(311, view.name, f"{label(blank)}, layer {layer}", "nothing", "a piece or a kept offcut")


def _blanks(c: Context) -> Iterator[tuple[View, Blank]]:
    for view in c.views:
        for blank in view.plan.blanks:
            yield view, blank
