"""Rules 2xx: everything lies on usable wood, and a kerf lies between neighbours."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from yieldopt.checking.context import Context, rule
from yieldopt.checking.finding import Finding, finding
from yieldopt.checking.geometry import EPS, rect
from yieldopt.checking.view import label
from yieldopt.wood.plan import Placed


@rule(201)
def ends(c: Context) -> Iterator[Finding]:
    """Blanks and kept offcuts keep clear of both ends by `board_end`, or in 8/4 and thicker by `board_end_thick` where the
    job has one, kerf included, unless the end is sound."""
    a = c.job.shop.allowances
    for view in c.views:
        trim = a.board_end
        if a.board_end_thick is not None and view.board.nominal >= 2:
            trim = a.board_end_thick
        low = trim * 0 if view.board.datum_sound else trim
        high = view.board.length - (trim * 0 if view.board.far_sound else trim)
        for thing in view.usable:
            if thing.x < low - EPS or thing.x + thing.length > high + EPS:
                span = f"x {c.show(thing.x)} to {c.show(thing.x + thing.length)}"
                yield finding(201, view.name, label(thing), span, f"{c.show(low)} to {c.show(high)}")


@rule(202)
def edges(c: Context) -> Iterator[Finding]:
    for view in c.views:
        for thing in view.usable:
            near, far = view.board.channel(thing.x, thing.x + thing.length)
            if thing.y < near - EPS or thing.y + thing.width > far + EPS:
                span = f"y {c.show(thing.y)} to {c.show(thing.y + thing.width)}"
                yield finding(202, view.name, label(thing), span, f"{c.show(near)} to {c.show(far)}")


@rule(203)
def neighbours(c: Context) -> Iterator[Finding]:
    """Blanks, kept offcuts and the wood of spoiled pieces are parted by kerfs."""
    kerf = c.job.shop.kerf
    for view in c.views:
        spent = view.loose_spoiled
        for a, b in combinations(view.solids, 2):
            # Spoiled pieces may be all that is left of one blank: how they were parted is history.
            if not (a in spent and b in spent) and not rect(a).apart(rect(b), kerf.crosscut, kerf.rip):
                yield finding(203, view.name, f"{label(a)} and {label(b)}", _gap(c, a, b), _kerfs(c))


@rule(204)
def neighbours_in_a_layer(c: Context) -> Iterator[Finding]:
    kerf = c.job.shop.kerf
    for view in c.views:
        for things in view.things_in.values():
            for a, b in combinations(things, 2):
                if a.layer == b.layer and not rect(a).apart(rect(b), kerf.crosscut, kerf.rip):
                    yield finding(204, view.name, f"{label(a)} and {label(b)}", _gap(c, a, b), _kerfs(c))


def _gap(c: Context, a: Placed, b: Placed) -> str:
    ra, rb = rect(a), rect(b)
    along, across = max(ra.x0, rb.x0) - min(ra.x1, rb.x1), max(ra.y0, rb.y0) - min(ra.y1, rb.y1)
    return f"{c.show(along)} along, {c.show(across)} across"


def _kerfs(c: Context) -> str:
    return f"a kerf of {c.show(c.job.shop.kerf.crosscut)} along or {c.show(c.job.shop.kerf.rip)} across"
