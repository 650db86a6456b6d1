"""Rules 309, 707 and 708: what the cuts leave of the board, once all are made."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from fractions import Fraction

from yieldopt.checking.context import Context, rule
from yieldopt.checking.finding import Finding, finding
from yieldopt.checking.geometry import EPS, Rect, rect
from yieldopt.checking.regions import Region, whole
from yieldopt.checking.view import Solid, View, label
from yieldopt.wood.plan import Blank, Spoiled


def crook_loss(view: View, section: Rect) -> Fraction:
    """Width that straightening a section takes, in inches; an outline has crook in it already."""
    if view.board.edges:
        return Fraction(0)
    return view.board.crook * ((section.x1 - section.x0) / view.board.length) ** 2


@rule(707)
def parted(c: Context) -> Iterator[Finding]:
    """In the end every blank and kept offcut, and every piece of a layer, is alone in its piece of wood."""
    for view in c.views:
        sawn = c.sawn(view)
        solid: list[tuple[str, Rect]] = [(label(t), rect(t)) for t in view.solids if not isinstance(t, Spoiled)]
        spent = [(label(t), rect(t)) for t in view.loose_spoiled]
        for region in sawn.regions:
            inside = [name for name, r in solid if r.within(region.rect)]
            # How the wood of spoiled pieces was parted from itself is history.
            gone = [name for name, r in spent if r.within(region.rect)][:1]
            if len(inside) + len(gone if inside else []) > 1:
                yield finding(707, view.name, " and ".join(inside + gone), "one piece of wood", "a cut between them")
        for (name, layer), regions in sawn.layers.items():
            things = [(label(t), rect(t)) for t in view.things_in[name] if t.layer == layer]
            for region in regions:
                inside = [what for what, r in things if r.within(region.rect)]
                if len(inside) > 1:
                    there = f"one piece of wood in blank {name}, layer {layer}"
                    yield finding(707, view.name, " and ".join(inside), there, "a cut between them")


@rule(708)
def cut_to_size(c: Context) -> Iterator[Finding]:
    """A blank is what goes over the machines: no waste may be left on it, save what no saw can take off."""
    for view in c.views:
        sawn = c.sawn(view)
        for blank in view.plan.blanks:
            region = sawn.region_round(rect(blank))
            if region is None:
                continue
            for side, left, allowed in _left_on(c, view, blank, region):
                if left > allowed + EPS:
                    there = f"{c.show(left)} left on it"
                    yield finding(708, view.name, f"{label(blank)}, {side}", there, f"{c.show(allowed)} or less")


def _left_on(c: Context, view: View, blank: Blank, region: Region) -> Iterator[tuple[str, Fraction, Fraction]]:
    kerf, board, r, b = c.job.shop.kerf, whole(view.board).rect, region.rect, rect(blank)
    near, far = view.board.channel(b.x0, b.x1)
    # A sliver narrower than a kerf can't be sawn off; it goes at the jointer, with the curve of a natural edge.
    joint = kerf.rip + crook_loss(view, region.as_straightened)
    yield "datum end", b.x0 - r.x0, kerf.crosscut
    yield "far end", r.x1 - b.x1, kerf.crosscut
    natural_near, natural_far = r.y0 <= board.y0 or near > r.y0, r.y1 >= board.y1 or far < r.y1
    yield "near edge", b.y0 - (near if natural_near else r.y0), joint if natural_near else kerf.rip
    yield "far edge", (far if natural_far else r.y1) - b.y1, joint if natural_far else kerf.rip


@rule(309)
def crook(c: Context) -> Iterator[Finding]:
    """Straightening takes width from a section once; all that is cut side by side from it must fit in the rest. A
    section that is kept whole as an offcut is not straightened."""
    for view in c.views:
        if view.board.edges or not view.board.crook:
            continue
        sawn = c.sawn(view)
        sections: dict[Rect, list[Solid]] = defaultdict(list)
        for thing in view.solids:
            region = sawn.region_round(rect(thing))
            if region is not None and (region.section is not None or isinstance(thing, Blank)):
                sections[region.as_straightened].append(thing)
        for section, things in sections.items():
            used = max(t.y + t.width for t in things) - min(t.y for t in things)
            left = view.board.width - crook_loss(view, section)
            if used > left + EPS:
                place = f"section x {c.show(section.x0)} to {c.show(section.x1)}"
                yield finding(309, view.name, place, f"{c.show(used)} used", f"{c.show(left)} or less")
